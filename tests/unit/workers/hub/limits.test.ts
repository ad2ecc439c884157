// How much the hub takes.

import { expect, test } from "vitest";
import { readFiles } from "../../../support/source-files.ts";
import { createLimits, createTokenBuckets } from "../../../../workers/hub/limits.ts";
import { handClock } from "./hand-clock.ts";

test("[limits 1] a bucket gives its capacity at once, then its rate", () => {
  const clock = handClock();
  const buckets = createTokenBuckets({ capacity: 3, perSecond: 0.5 }, clock);
  expect([1, 2, 3, 4].map(() => buckets.take("a"))).toEqual([0, 0, 0, 2]);
  expect(buckets.wait("a")).toBe(2);
  clock.pass(1_999);
  expect(buckets.take("a")).toBe(1);
  clock.pass(1);
  expect([buckets.take("a"), buckets.take("a")]).toEqual([0, 2]);
  clock.pass(3_600_000);
  expect([1, 2, 3, 4].map(() => buckets.take("a"))).toEqual([0, 0, 0, 2]);
});

test("[limits 1] over an hour no more comes out than capacity and rate allow", () => {
  const clock = handClock();
  const buckets = createTokenBuckets({ capacity: 5, perSecond: 2 }, clock);
  let taken = 0;
  for (let tick = 0; tick < 36_000; tick += 1) {
    if (buckets.take("a") === 0) taken += 1;
    clock.pass(100);
  }
  expect(taken).toBeLessThanOrEqual(5 + 2 * 3_600);
  expect(taken).toBeGreaterThan(2 * 3_600 - 5);
});

test("[limits 2] one key's spending takes nothing from another's, however many there are", () => {
  const clock = handClock();
  const buckets = createTokenBuckets({ capacity: 1, perSecond: 1 }, clock);
  expect(buckets.take("a")).toBe(0);
  for (let key = 0; key < 20_000; key += 1) buckets.take(`key ${key}`);
  expect(buckets.take("a")).toBe(1);
  expect(buckets.take("b")).toBe(0);
});

test("[limits 1] a clock that was set back neither gives nor takes", () => {
  const clock = handClock();
  let backMs = 0;
  const nowMs = () => clock.nowMs() - backMs;
  const buckets = createTokenBuckets({ capacity: 2, perSecond: 1 }, { ...clock, nowMs });
  buckets.take("a");
  backMs = 3_600_000;
  expect([buckets.take("a"), buckets.take("a")]).toEqual([0, 1]);
});

test("[limits 3] whoever guesses for as long as a code lasts finds one in less than a million times", () => {
  const clock = handClock();
  const { wrongCodesByAddress } = createLimits(clock);
  let tries = 0;
  // The longest that an invitation may last: a day; a guess each second.
  for (let second = 0; second < 86_400; second += 1) {
    if (wrongCodesByAddress.take("guesser") === 0) tries += 1;
    clock.pass(1_000);
  }
  expect(tries).toBeGreaterThan(14_000);
  // RFC 8628, section 6.1: eight letters of twenty are 34.5 bits; from memory.
  expect(Math.log2(20 ** 8)).toBeCloseTo(34.5, 0);
  expect(tries / 20 ** 8).toBeLessThan(1e-6);
  expect(wrongCodesByAddress.wait("another")).toBe(0);
});

test("[limits 4] the list of limits has what the hub's sources have, where it says", () => {
  const sources = readFiles(/^(machines\/sync\/(push|pull)|workers\/hub\/(?!demo).*)\.ts$/);
  const named = sources
    .filter(({ path }) => path.endsWith("hub/limits.ts"))
    .flatMap(({ text }) => [...text.matchAll(/^\/\/ {3}.* {2}((?:\w+, )*\w+) +(\S+\.ts)$/gm)])
    .flatMap(([, names = "", path = ""]) => names.split(", ").map((name) => `${path} ${name}`));
  const there = sources.flatMap(({ path, text }) =>
    [...text.matchAll(/^export const (\w+Max|slowMs|drainMs) = /gm)].map(
      ([, name = ""]) => `${path} ${name}`,
    ),
  );
  expect(named.toSorted()).toEqual(there.toSorted());
});
