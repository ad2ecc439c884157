// A simple temporal network: points in time and bounds on the spans between them.
//
// Definition: a *bound* from a to b of w seconds says that b is at most w seconds after a; a bound of
//   less than nothing says that b is at least so long before a.
// Definition: a *circle* is a walk over bounds that comes back to its start; its seconds are the sum.
// [simple 1] A network can be kept exactly if no circle comes to less than nothing; one that does is
//   the witness.
// [simple 2] A point's earliest and latest time are the ends of the range in which it can lie while
//   every other point still finds its place.
// [simple 3] The critical chain is a row of bounds from a point back to the origin that lets it be no
//   earlier: their seconds sum up to its earliest time, below nothing.
// [simple 4] What is off by less than `toleranceSeconds` counts as equal: sums of fractions are not
//   exact.
// [simple 5] A point's slack is how much later than its earliest it can be if the end must come as
//   early as it can.

import { assert } from "../base/assert.ts";
import {
  createEdgeLists,
  linkEdge,
  lowerSpans,
  orderPoints,
  spansOfNothing,
} from "./edge-lists.ts";
import { toleranceSeconds } from "./edge-lists.ts";
import type { EdgeLists, SpansUnderWay } from "./edge-lists.ts";

/** `to` is at most `seconds` after `from`; points are numbers from 0. */
export type Bound = { readonly from: number; readonly to: number; readonly seconds: number };

/** Points 0 to `points` - 1 and bounds between them. */
export type SimpleNetwork = { readonly points: number; readonly bounds: readonly Bound[] };

/** A walk that comes back to its start, by the places of its bounds in the list, in order. */
export type Circle = { readonly bounds: readonly number[]; readonly seconds: number };

/** When each point can be, in seconds from the origin. */
export type NetworkTimes = {
  /** Minus infinity where nothing says how early. */
  readonly earliestSeconds: Float64Array;
  /** Infinity where nothing says how late. */
  readonly latestSeconds: Float64Array;
};

/** The times, or the circle that no choice of times can keep. */
export type NetworkTimesFound =
  | { readonly times: NetworkTimes; readonly circle: null }
  | { readonly times: null; readonly circle: Circle };

/**
 * The earliest and latest time of every point, with the origin at 0; or a circle below nothing.
 *
 * Errors: none.
 * Source: Dechter, Meiri & Pearl 1991, "Temporal constraint networks", section 3. Checked in
 *   tests/published/dechter-1991-commuters.test.ts
 */
export function networkTimes(network: SimpleNetwork, origin: number): NetworkTimesFound {
  const circle = findCircle(network);
  if (circle !== null) return { times: null, circle };
  const latestSeconds = spansFrom(network, origin);
  const earliestSeconds = spansTo(network, origin).seconds.map(below);
  return { times: { earliestSeconds, latestSeconds }, circle: null };
}

/** A circle of less than nothing; null: the network can be kept. Errors: none. */
export function findCircle(network: SimpleNetwork): Circle | null {
  const lists = listBounds(network);
  const bounds = lowerSpans(lists, spansOfNothing(network.points), orderPoints(lists));
  if (bounds === null) return null;
  const seconds = bounds.reduce((sum, place) => sum + boundAt(network, place).seconds, 0);
  return { bounds, seconds };
}

/**
 * The slack of every point, in seconds; 0: critical. Infinite where nothing says how late.
 *
 * Errors: an assertion if the network cannot be kept or nothing says how early the end is.
 */
export function slackSeconds(network: SimpleNetwork, origin: number, end: number): Float64Array {
  const earliest = spansTo(network, origin).seconds.map(below);
  const endSeconds = earliest[end] ?? -Infinity;
  assert(Number.isFinite(endSeconds), "the end has an earliest time");
  const fromOrigin = spansFrom(network, origin);
  const fromEnd = spansFrom(network, end);
  return earliest.map((seconds, point) => {
    const latest = Math.min(fromOrigin[point] ?? 0, endSeconds + (fromEnd[point] ?? 0));
    return latest - seconds < toleranceSeconds ? 0 : latest - seconds;
  });
}

/**
 * The bounds, by their places in the list, that force a point to be no earlier than it is: a chain
 * from the point back to the origin, in this order.
 *
 * Errors: an assertion if the network cannot be kept. Empty if nothing forces the point.
 */
export function criticalChain(
  network: SimpleNetwork,
  origin: number,
  point: number,
): readonly number[] {
  return chainsIn(network)(origin, point);
}

/** As `criticalChain`, for several pairs of origin and point of one network. */
export function chainsIn(
  network: SimpleNetwork,
): (origin: number, point: number) => readonly number[] {
  const lists = listBounds(network);
  const order = orderPoints(lists);
  return (origin, point) => {
    const { firstEdges } = settleTo(lists, order, origin);
    const chain: number[] = [];
    let at = point;
    while (at !== origin) {
      const bound = firstEdges[at] ?? -1;
      if (bound < 0) return [];
      chain.push(bound);
      at = boundAt(network, bound).to;
      assert(chain.length <= network.points, "a chain passes no point twice");
    }
    return chain;
  };
}

// The tightest bounds from each point to `target`; infinite: none.
function spansTo(network: SimpleNetwork, target: number): SpansUnderWay {
  const lists = listBounds(network);
  return settleTo(lists, orderPoints(lists), target);
}

// From the target alone many points would be come to again and again; so all are gone through in order.
function settleTo(lists: EdgeLists, order: readonly number[], target: number): SpansUnderWay {
  const spans = spansOfNothing(lists.points);
  spans.seconds.fill(Infinity);
  spans.seconds[target] = 0;
  const circle = lowerSpans(lists, spans, order);
  assert(circle === null, "spans are asked for only in a network that can be kept");
  return spans;
}

// The tightest bounds from `source` to each point; infinite: none.
function spansFrom(network: SimpleNetwork, source: number): Float64Array {
  const bounds = network.bounds.map(({ from, to, seconds }) => ({ from: to, to: from, seconds }));
  return spansTo({ points: network.points, bounds }, source).seconds;
}

function listBounds({ points, bounds }: SimpleNetwork): EdgeLists {
  const lists = createEdgeLists(points);
  for (const { from, to, seconds } of bounds) linkEdge(lists, from, to, seconds);
  return lists;
}

function boundAt(network: SimpleNetwork, place: number): Bound {
  const bound = network.bounds[place];
  assert(bound !== undefined, "a bound that is named is in the list");
  return bound;
}

function below(seconds: number): number {
  return seconds === 0 ? 0 : -seconds;
}
