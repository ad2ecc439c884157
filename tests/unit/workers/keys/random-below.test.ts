import { expect, test } from "vitest";
import { randomBelow } from "../../../../workers/keys/random-below.ts";

const top = 2 ** 32;

// Hands out these numbers, one a call.
function fills(numbers: readonly number[]) {
  const left = [...numbers];
  return (array: Uint32Array<ArrayBuffer>) => {
    const next = left.shift();
    if (next === undefined) throw new Error("no more numbers");
    array[0] = next;
  };
}

test("[random-below 1] numbers past the last whole multiple of the bound are thrown away", () => {
  // 2^32 is 20 * 214748364 + 16.
  expect(() => randomBelow(20, fills([top - 16]))).toThrow("no more numbers");
  expect(randomBelow(20, fills([top - 1, top - 16, top - 17]))).toBe(19);
  expect(randomBelow(20, fills([0]))).toBe(0);
  expect(randomBelow(2 ** 32, fills([top - 1]))).toBe(top - 1);
});

test("[random-below 1] of a hundred thousand, each of twenty comes up about as often", () => {
  const counts = new Array<number>(20).fill(0);
  for (let count = 0; count < 100_000; count += 1) {
    const number = randomBelow(20);
    counts[number] = (counts[number] ?? 0) + 1;
  }
  // Chi-squared with 19 degrees of freedom exceeds 60 once in about 250,000 runs.
  const chiSquared = counts.reduce((sum, count) => sum + (count - 5000) ** 2 / 5000, 0);
  expect(chiSquared).toBeLessThan(60);
});

test.each([0, -1, 1.5, Number.NaN, 2 ** 32 + 1])("[random-below 2] a bound of %d", (bound) => {
  expect(() => randomBelow(bound)).toThrow("Assertion failed");
});
