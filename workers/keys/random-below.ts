// Random whole numbers for codes, from the platform's secure source.
//
// [random-below 1] Every number from 0 to one less than the bound is as likely as any other.
// [random-below 2] A bound that is not a whole number from 1 to 2 to the 32nd is our own mistake.

import { assert } from "../../machines/base/assert.ts";

/**
 * A random whole number from 0 to one less than the bound.
 *
 * @param fill fills the array with random bits; the platform's own unless a test says otherwise
 * Errors: an assertion for what [random-below 2] refuses.
 */
export function randomBelow(
  bound: number,
  fill: (numbersMutable: Uint32Array<ArrayBuffer>) => unknown = (numbers) =>
    crypto.getRandomValues(numbers),
): number {
  assert(Number.isInteger(bound), "a bound is a whole number");
  assert(bound >= 1, "a bound is at least 1");
  assert(bound <= 2 ** 32, "a bound is at most 2 to the 32nd");
  // Numbers past the last whole multiple of the bound would make the small remainders likelier.
  const usable = 2 ** 32 - (2 ** 32 % bound);
  const numbers = new Uint32Array(1);
  for (;;) {
    fill(numbers);
    const number = numbers[0] ?? usable;
    if (number < usable) return number % bound;
  }
}
