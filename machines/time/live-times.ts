// Live times: the earliest and latest time of every point, kept up while bounds are added one by one,
// as each tap of a run adds one.
//
// [live-times 1] After each added bound the times are those that would be computed anew.
// [live-times 2] Only points whose time changes, and the bounds at them, are touched.
// [live-times 3] A bound that cannot be kept is answered as impossible and is not added; the times stay
//   as they were.

import { assert } from "../base/assert.ts";
import { toleranceSeconds } from "./edge-lists.ts";
import { networkTimes } from "./simple-network.ts";
import type { Bound, Circle, SimpleNetwork } from "./simple-network.ts";

/** Times that are kept up. Seconds are from the origin; infinite where nothing says how late. */
export type LiveTimes = {
  readonly earliestSeconds: Float64Array;
  readonly latestSeconds: Float64Array;
  /** For each point the bounds that begin there, and those that end there. */
  readonly outOf: readonly Bound[][];
  readonly into: readonly Bound[][];
};

/** Times ready to be kept up, or the circle that no choice of times can keep. */
export type LiveTimesFound =
  | { readonly live: LiveTimes; readonly circle: null }
  | { readonly live: null; readonly circle: Circle };

/** What an added bound did. */
export type TimesAfterBound =
  /** Points whose earliest or latest time moved, each once. */
  | { readonly changed: readonly number[]; readonly impossible: false }
  | { readonly changed: readonly []; readonly impossible: true };

/**
 * The times of a network, ready to be kept up; or a circle that cannot be kept.
 *
 * Errors: an assertion if the origin does not bound every point from below, for then a circle could
 *   close unseen.
 */
export function liveTimes(network: SimpleNetwork, origin: number): LiveTimesFound {
  const found = networkTimes(network, origin);
  if (found.circle !== null) return { live: null, circle: found.circle };
  const { earliestSeconds, latestSeconds } = found.times;
  assert(earliestSeconds.every(Number.isFinite), "every point has an earliest time");
  const outOf = Array.from({ length: network.points }, (): Bound[] => []);
  const into = Array.from({ length: network.points }, (): Bound[] => []);
  for (const bound of network.bounds) linkMutable({ outOf, into }, bound);
  return { live: { earliestSeconds, latestSeconds, outOf, into }, circle: null };
}

/**
 * Adds a bound and moves what it moves.
 *
 * Errors: none; a bound that cannot be kept is not added.
 * Source: only from points that moved do others move (Ramalingam & Reps 1996, "An incremental
 *   algorithm for a generalization of the shortest-path problem"); a circle shows by coming back to
 *   the bound's own start (Cervoni, Cesta & Oddi 1994).
 */
export function addBoundMutable(live: LiveTimes, bound: Bound): TimesAfterBound {
  if (bound.from === bound.to) {
    return bound.seconds < -toleranceSeconds
      ? { changed: [], impossible: true }
      : { changed: [], impossible: false };
  }
  const before = new Map<number, readonly [earliest: number, latest: number]>();
  const possible = pullLatest(live, bound, before) && pushEarliest(live, bound, before);
  if (!possible) {
    for (const [point, [earliest, latest]] of before) {
      live.earliestSeconds[point] = earliest;
      live.latestSeconds[point] = latest;
    }
    return { changed: [], impossible: true };
  }
  linkMutable(live, bound);
  return { changed: [...before.keys()], impossible: false };
}

type Before = Map<number, readonly [earliest: number, latest: number]>;

function linkMutable({ outOf, into }: Pick<LiveTimes, "outOf" | "into">, bound: Bound): void {
  outOf[bound.from]?.push(bound);
  into[bound.to]?.push(bound);
}

// What is after the bound gets earlier latest times. False: the bound's own start would.
function pullLatest(live: LiveTimes, added: Bound, before: Before): boolean {
  const { latestSeconds } = live;
  const bounds = [added];
  // The list grows while it is walked.
  for (const { from, to, seconds } of bounds) {
    const latest = (latestSeconds[from] ?? 0) + seconds;
    if (latest >= (latestSeconds[to] ?? 0) - toleranceSeconds) continue;
    if (to === added.from) return false;
    noteBefore(live, to, before);
    latestSeconds[to] = latest;
    bounds.push(...(live.outOf[to] ?? []));
  }
  return true;
}

// What is before the bound gets later earliest times. False: the bound's own end would.
function pushEarliest(live: LiveTimes, added: Bound, before: Before): boolean {
  const { earliestSeconds } = live;
  const bounds = [added];
  for (const { from, to, seconds } of bounds) {
    const earliest = (earliestSeconds[to] ?? 0) - seconds;
    if (earliest <= (earliestSeconds[from] ?? 0) + toleranceSeconds) continue;
    if (from === added.to) return false;
    noteBefore(live, from, before);
    earliestSeconds[from] = earliest;
    bounds.push(...(live.into[from] ?? []));
  }
  return true;
}

function noteBefore(live: LiveTimes, point: number, before: Before): void {
  if (before.has(point)) return;
  before.set(point, [live.earliestSeconds[point] ?? 0, live.latestSeconds[point] ?? 0]);
}
