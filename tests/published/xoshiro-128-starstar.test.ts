// The seeded generator against published outputs; exact, so no tolerance.
//
// xoshiro128** from the state 1, 2, 3, 4: the vector of the Rust crate rand_xoshiro's own tests, as many
// independent ports quote it. The first is also plain by hand: 2 * 5 = 10, rotated left by 7 is 1280,
// times 9 is 11520.
// SplitMix64 from the seed 1234567: Rosetta Code, "Pseudo-random numbers/Splitmix64".

import { expect, test } from "vitest";
import {
  createRandomFromState,
  createSeededRandom,
  splitMix64,
} from "../../machines/base/seeded-random.ts";

test("[xoshiro128**] the first ten numbers from the state 1, 2, 3, 4", () => {
  const random = createRandomFromState([1, 2, 3, 4]);
  expect(Array.from({ length: 10 }, () => random.nextUint32())).toEqual([
    11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597,
    4258142804,
  ]);
});

test("[SplitMix64] the first five numbers from the seed 1234567", () => {
  expect(splitMix64(1234567n, 5)).toEqual([
    6457827717110365317n,
    3203168211198807973n,
    9817491932198370423n,
    4593380528125082431n,
    16408922859458223821n,
  ]);
});

test("[seeded-random 1] a seed fills the state with SplitMix64's words, the low half first", () => {
  const [first = 0n, second = 0n] = splitMix64(99n, 2);
  const half = 1n << 32n;
  const words = [first % half, first / half, second % half, second / half].map(Number);
  const fromState = createRandomFromState(words as [number, number, number, number]);
  const seeded = createSeededRandom(99);
  for (let draw = 0; draw < 100; draw += 1) {
    expect(seeded.nextUint32()).toBe(fromState.nextUint32());
  }
});
