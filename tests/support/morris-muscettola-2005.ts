// The closure under the reduction rules of Morris & Muscettola 2005, "Temporal dynamic
// controllability revisited" (from memory), by brute force over all triples: for small networks of
// whole seconds.
//
// Plain edges are a matrix; upper-case edges all lead to their span's activation, so one row for each
// contingent span holds them; lower-case edges never change.
//   No-case      A <-x- C <-y- D              gives A <-(x + y)- D
//   Upper-case   A <-B:x- C <-y- D            gives A <-B:(x + y)- D
//   Lower-case   A <-x- C <-c:y- D, x < 0     gives A <-(x + y)- D
//   Cross-case   A <-B:x- C <-c:y- D, x < 0, B not C, gives A <-B:(x + y)- D
//   Label removal  A <-B:z- C, z >= -least(B) gives A <-z- C

import type { UncertainNetwork } from "../../machines/time/uncertain-network.ts";

/** The verdict of the closure. */
export function isControllableByClosure(network: UncertainNetwork): boolean {
  const { points, bounds, contingents } = network;
  const plain = squareOf(points);
  const lower = (a: number, b: number, w: number) => {
    const row = plain[a] as number[];
    if (w >= (row[b] as number)) return false;
    row[b] = w;
    return true;
  };
  const upper = contingents.map(() => Array.from({ length: points }, () => Infinity));
  for (const { from, to, seconds } of bounds) lower(from, to, seconds);
  for (const [k, { activation, end, leastSeconds, mostSeconds }] of contingents.entries()) {
    lower(activation, end, mostSeconds);
    lower(end, activation, -leastSeconds);
    (upper[k] as number[])[end] = -mostSeconds;
  }
  const lowerUpper = (k: number, point: number, w: number) => {
    const row = upper[k] as number[];
    if (w >= (row[point] as number)) return false;
    row[point] = w;
    return true;
  };
  const roundsMax = points * points + points * contingents.length + contingents.length + 1;
  for (let round = 0; round < roundsMax; round += 1) {
    if (!isConsistent(network, plain, upper)) return false;
    if (!reduceOnce(network, { plain, upper, lower, lowerUpper })) return true;
  }
  return false;
}

type Closure = {
  readonly plain: number[][];
  readonly upper: number[][];
  readonly lower: (a: number, b: number, w: number) => boolean;
  readonly lowerUpper: (k: number, point: number, w: number) => boolean;
};

function reduceOnce(network: UncertainNetwork, closure: Closure): boolean {
  const { plain, upper, lower, lowerUpper } = closure;
  const all = Array.from({ length: network.points }, (_, point) => point);
  let changed = false;
  const note = (did: boolean) => {
    changed = changed || did;
  };
  const plainAt = (a: number, b: number) => plain[a]?.[b] ?? Infinity;
  for (const d of all) {
    for (const c of all) {
      for (const a of all) note(lower(d, a, plainAt(d, c) + plainAt(c, a)));
      for (const [k, row] of upper.entries()) note(lowerUpper(k, d, plainAt(d, c) + (row[c] ?? 0)));
    }
  }
  for (const [own, { activation: d, end: c, leastSeconds: y }] of network.contingents.entries()) {
    for (const a of all) if (plainAt(c, a) < 0) note(lower(d, a, y + plainAt(c, a)));
    for (const [k, row] of upper.entries()) {
      const x = row[c] ?? Infinity;
      if (k !== own && x < 0) note(lowerUpper(k, d, x + y));
    }
  }
  for (const [k, { activation, leastSeconds }] of network.contingents.entries()) {
    for (const c of all) {
      const z = upper[k]?.[c] ?? Infinity;
      if (z >= -leastSeconds && z < Infinity) note(lower(c, activation, z));
    }
  }
  return changed;
}

// The AllMax projection: every span takes its most.
function isConsistent(network: UncertainNetwork, plain: number[][], upper: number[][]): boolean {
  const spans = plain.map((row) => [...row]);
  for (const [k, { activation }] of network.contingents.entries()) {
    for (const [point, w] of (upper[k] as number[]).entries()) {
      const row = spans[point] as number[];
      row[activation] = Math.min(row[activation] as number, w);
    }
  }
  for (let m = 0; m < network.points; m += 1)
    for (let a = 0; a < network.points; a += 1)
      for (let b = 0; b < network.points; b += 1) {
        const row = spans[a] as number[];
        row[b] = Math.min(row[b] as number, (row[m] as number) + (spans[m]?.[b] as number));
      }
  return spans.every((row, point) => (row[point] as number) >= 0);
}

function squareOf(points: number): number[][] {
  return Array.from({ length: points }, (_, a) =>
    Array.from({ length: points }, (_, b) => (a === b ? 0 : Infinity)),
  );
}
