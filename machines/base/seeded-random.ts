// A seeded source of random numbers, so that what is drawn can be drawn again.
//
// [seeded-random 1] The same seed gives the same numbers, on every machine.
// Not for keys or codes: who sees some of its numbers can work out the rest.

/** A source of random numbers. Each call moves it on. */
export type SeededRandom = {
  /** A whole number from 0 to 2^32 - 1. */
  readonly nextUint32: () => number;
  /** A number from 0 (included) to 1 (not included), of 53 random bits. */
  readonly nextFraction: () => number;
  /** A whole number from 0 (included) to `end` (not included); `end` is from 1 to 2^32. */
  readonly nextBelow: (end: number) => number;
};

/**
 * A source of random numbers from a seed.
 *
 * @param seed any whole number; its lower 64 bits count
 * Errors: a RangeError if the seed is no whole number.
 * Source: the generator is xoshiro128** 1.1, its state filled by SplitMix64, both by D. Blackman
 *   and S. Vigna (2018 and 2015). Checked in tests/published/xoshiro-128-starstar.test.ts
 */
export function createSeededRandom(seed: number | bigint): SeededRandom {
  const [first, second] = splitMix64(BigInt(seed), 2) as [bigint, bigint];
  return createRandomFromState([low(first), high(first), low(second), high(second)]);
}

/**
 * A source of random numbers that goes on from a state of xoshiro128**.
 *
 * @param words four whole numbers from 0 to 2^32 - 1, not all zero
 * Errors: none.
 */
export function createRandomFromState(
  words: readonly [number, number, number, number],
): SeededRandom {
  const state = Uint32Array.from(words);
  const nextUint32 = (): number => moveState(state);
  return {
    nextUint32,
    nextFraction: () => ((nextUint32() >>> 5) * 2 ** 26 + (nextUint32() >>> 6)) / 2 ** 53,
    nextBelow: (end) => nextBelow(nextUint32, end),
  };
}

/**
 * The first numbers of SplitMix64 from a seed, each from 0 to 2^64 - 1.
 *
 * Errors: none.
 */
export function splitMix64(seed: bigint, count: number): readonly bigint[] {
  let counter = seed & uint64Max;
  return Array.from({ length: count }, () => {
    counter = (counter + 0x9e3779b97f4a7c15n) & uint64Max;
    let mixed = counter;
    mixed = ((mixed ^ (mixed >> 30n)) * 0xbf58476d1ce4e5b9n) & uint64Max;
    mixed = ((mixed ^ (mixed >> 27n)) * 0x94d049bb133111ebn) & uint64Max;
    return mixed ^ (mixed >> 31n);
  });
}

const uint64Max = (1n << 64n) - 1n;

function low(word: bigint): number {
  return Number(word & 0xffffffffn);
}

function high(word: bigint): number {
  return Number(word >> 32n);
}

function moveState(words: Uint32Array): number {
  let [a = 0, b = 0, c = 0, d = 0] = words;
  const result = Math.imul(rotateLeft(Math.imul(b, 5), 7), 9) >>> 0;
  const shifted = b << 9;
  c ^= a;
  d ^= b;
  b ^= c;
  a ^= d;
  c ^= shifted;
  d = rotateLeft(d, 11);
  words.set([a, b, c, d]);
  return result;
}

function rotateLeft(word: number, by: number): number {
  return (word << by) | (word >>> (32 - by));
}

// Draws again where a remainder would favour the lower numbers.
function nextBelow(nextUint32: () => number, end: number): number {
  const fairEnd = 2 ** 32 - (2 ** 32 % end);
  let drawn = nextUint32();
  while (drawn >= fairEnd) drawn = nextUint32();
  return drawn % end;
}
