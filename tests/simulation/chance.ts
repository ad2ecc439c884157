// Chance of a simulation: everything that is random comes from its seed.

import type { SeededRandom } from "../../machines/base/seeded-random.ts";

/** One of the values. */
export function pick<Value>(random: SeededRandom, values: readonly Value[]): Value {
  return values[random.nextBelow(values.length)] as Value;
}

/** True so often, from 0 to 1. */
export function happens(random: SeededRandom, chance: number): boolean {
  return random.nextFraction() < chance;
}

/** A choice, how often it is taken against the others, and its value. */
export type Weighted<Value> = readonly [weight: number, value: Value];

/** One of the values; the weights say how often each comes. */
export function pickWeighted<Value>(
  random: SeededRandom,
  choices: readonly Weighted<Value>[],
): Value {
  const total = choices.reduce((sum, [weight]) => sum + weight, 0);
  let left = random.nextFraction() * total;
  for (const [weight, value] of choices) {
    left -= weight;
    if (left < 0) return value;
  }
  return (choices.at(-1) as Weighted<Value>)[1];
}
