// The minimal network: the tightest bound between any two points, kept while bounds are added.
//
// [minimal 1] The span from a to b is the least number of seconds that follows for b after a; it is
//   reached in some choice of times.
// [minimal 2] After a bound is added, the spans are those that would be computed anew.
// [minimal 3] Adding a bound touches only pairs whose span it lowers, and finds those by looking at
//   one row and one column.
// [minimal 4] A bound that no choice of times can keep changes nothing and is answered by how many
//   seconds it is short.

import { assert } from "../base/assert.ts";
import { toleranceSeconds } from "./edge-lists.ts";
import { findCircle } from "./simple-network.ts";
import type { Bound, Circle, SimpleNetwork } from "./simple-network.ts";

/** All spans: from a to b at `a * points + b`, in seconds; infinite: nothing follows. */
export type MinimalNetwork = { readonly points: number; readonly spans: Float64Array };

/** The minimal network, or the circle that no choice of times can keep. */
export type MinimalNetworkFound =
  | { readonly minimal: MinimalNetwork; readonly circle: null }
  | { readonly minimal: null; readonly circle: Circle };

/** What an added bound did: pairs that it changed, or how many seconds it cannot be kept by. */
export type AddedBound =
  | { readonly changedPairs: number; readonly shortSeconds: 0 }
  | { readonly changedPairs: 0; readonly shortSeconds: number };

/**
 * The minimal network of a simple network, or a circle that cannot be kept.
 *
 * Errors: none. Time grows with the third power of the points, memory with the second.
 * Source: Floyd 1962, Warshall 1962; Dechter, Meiri & Pearl 1991, section 3. Checked in
 *   tests/published/dechter-1991-commuters.test.ts and against a graph library.
 */
export function minimalNetwork(network: SimpleNetwork): MinimalNetworkFound {
  const circle = findCircle(network);
  if (circle !== null) return { minimal: null, circle };
  const { points } = network;
  const spans = new Float64Array(points * points).fill(Infinity);
  for (let point = 0; point < points; point += 1) spans[point * points + point] = 0;
  for (const { from, to, seconds } of network.bounds) {
    if (from === to) continue;
    spans[from * points + to] = Math.min(spans[from * points + to] ?? Infinity, seconds);
  }
  for (let middle = 0; middle < points; middle += 1) passThroughMutable(spans, points, middle);
  return { minimal: { points, spans }, circle: null };
}

/** The tightest bound between two points, in seconds: `to` is at most so long after `from`. */
export function spanSeconds(minimal: MinimalNetwork, from: number, to: number): number {
  const span = minimal.spans[from * minimal.points + to];
  assert(span !== undefined, "both points are points of the network");
  return span;
}

/**
 * Adds one bound and lowers every span that it lowers.
 *
 * Errors: none; a bound that cannot be kept changes nothing.
 * Source: the pairs (i, j) that change have i changed towards `to` and j changed from `from`; as in
 *   Even & Gazit 1985 for dynamic shortest paths.
 */
export function addBoundMutable(minimal: MinimalNetwork, bound: Bound): AddedBound {
  const { points, spans } = minimal;
  const { from, to, seconds } = bound;
  const back = spanSeconds(minimal, to, from);
  if (seconds + back < -toleranceSeconds) {
    return { changedPairs: 0, shortSeconds: -(seconds + back) };
  }
  if (seconds >= spanSeconds(minimal, from, to)) return { changedPairs: 0, shortSeconds: 0 };
  const befores = loweredStarts(minimal, bound);
  const afters = loweredEnds(minimal, bound);
  let changedPairs = 0;
  for (const before of befores) {
    const toBound = (spans[before * points + from] ?? Infinity) + seconds;
    const row = before * points;
    for (const after of afters) {
      const lowered = toBound + (spans[to * points + after] ?? Infinity);
      if (lowered >= (spans[row + after] ?? Infinity)) continue;
      spans[row + after] = lowered;
      changedPairs += 1;
    }
  }
  return { changedPairs, shortSeconds: 0 };
}

function passThroughMutable(spans: Float64Array, points: number, middle: number): void {
  const middleRow = middle * points;
  for (let from = 0; from < points; from += 1) {
    const row = from * points;
    const first = spans[row + middle] ?? Infinity;
    if (first === Infinity || from === middle) continue;
    for (let to = 0; to < points; to += 1) {
      const through = first + (spans[middleRow + to] ?? Infinity);
      if (through < (spans[row + to] ?? Infinity)) spans[row + to] = through;
    }
  }
}

// Points that come nearer to the bound's end through it; the bound's own start always does.
function loweredStarts(minimal: MinimalNetwork, { from, to, seconds }: Bound): number[] {
  const { points, spans } = minimal;
  const found: number[] = [];
  for (let point = 0; point < points; point += 1) {
    const through = (spans[point * points + from] ?? Infinity) + seconds;
    if (through < (spans[point * points + to] ?? Infinity)) found.push(point);
  }
  return found;
}

// Points that the bound's start comes nearer to through it.
function loweredEnds(minimal: MinimalNetwork, { from, to, seconds }: Bound): number[] {
  const { points, spans } = minimal;
  const found: number[] = [];
  for (let point = 0; point < points; point += 1) {
    const through = seconds + (spans[to * points + point] ?? Infinity);
    if (through < (spans[from * points + point] ?? Infinity)) found.push(point);
  }
  return found;
}
