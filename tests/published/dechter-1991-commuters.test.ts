// Dechter, Meiri & Pearl 1991, "Temporal constraint networks", Artificial Intelligence 49: the example
// of the two commuters, its constraints and its minimal network (values as the design's list of check
// values gives them). Whole minutes, so no tolerance.

import { expect, test } from "vitest";
import {
  addBoundMutable,
  minimalNetwork,
  spanSeconds,
} from "../../machines/time/minimal-network.ts";
import { networkTimes } from "../../machines/time/simple-network.ts";
import type { Bound } from "../../machines/time/simple-network.ts";

const minutes = 60;
const constraints: readonly (readonly [number, number, number, number])[] = [
  [0, 1, 10, 20],
  [1, 2, 30, 40],
  [3, 2, 10, 20],
  [3, 4, 40, 50],
  [0, 4, 60, 70],
];
const published: readonly (readonly [number, number, number, number])[] = [
  [0, 1, 10, 20],
  [0, 2, 40, 50],
  [0, 3, 20, 30],
  [0, 4, 60, 70],
  [1, 2, 30, 40],
  [1, 3, 10, 20],
  [1, 4, 50, 60],
  [2, 4, 20, 30],
  [3, 4, 40, 50],
];
const bounds = constraints.flatMap(([from, to, least, most]): Bound[] => [
  { from, to, seconds: most * minutes },
  { from: to, to: from, seconds: -least * minutes },
]);

test("[minimal 1] the commuters have the published minimal network", () => {
  const { minimal } = minimalNetwork({ points: 5, bounds });
  if (minimal === null) throw new Error("the commuters' constraints can be kept");
  for (const [from, to, least, most] of published) {
    expect(spanSeconds(minimal, from, to), `${from}-${to}`).toBe(most * minutes);
    expect(spanSeconds(minimal, to, from), `${from}-${to}`).toBe(-least * minutes);
  }
});

test("[minimal 2] the commuters' constraints added one by one come to the same", () => {
  const { minimal } = minimalNetwork({ points: 5, bounds: [] });
  if (minimal === null) throw new Error("nothing is easily kept");
  for (const bound of bounds) addBoundMutable(minimal, bound);
  expect(minimal).toEqual(minimalNetwork({ points: 5, bounds }).minimal);
});

test("[simple 2] the commuters' times from 7:00 are the published ones", () => {
  const { times } = networkTimes({ points: 5, bounds }, 0);
  const earliest = [0, 10, 40, 20, 60].map((minute) => minute * minutes);
  const latest = [0, 20, 50, 30, 70].map((minute) => minute * minutes);
  expect([...(times?.earliestSeconds ?? [])]).toEqual(earliest);
  expect([...(times?.latestSeconds ?? [])]).toEqual(latest);
});
