// Live windows: from when and until when each point of ours can happen so that every bound is still kept,
// whatever the contingent spans turn out to be. This is the strategy of a controllable network, read anew
// after each thing that happens.
//
// Definition: a point is *free* if it can happen now: its window has opened, and nothing that it waits for
//   is still to come.
// [windows 1] Whoever lets points happen only while they are free, and each by the end of its window, keeps
//   every bound.
// [windows 2] Later than at the end of its window a point cannot happen: the network could not be controlled.
//   The end comes nearer when a contingent span ends sooner than it might have.
// [windows 3] A point that waits for a contingent span is told which, and the second from which it need
//   wait no more though the span has not ended; infinite: it must wait for the end itself, or the span
//   has not begun.
// [windows 4] Where nothing keeps every bound any more, the circle is told instead.
// [windows 5] The bounds named with a window are those that would break if the point came later.

import { boundsReader } from "./circle-of-edges.ts";
import type { UncertainCircle } from "./circle-of-edges.ts";
import { workOutNetwork } from "./controllability.ts";
import type { WorkedNetwork } from "./controllability.ts";
import { createEdgeLists, linkEdge, lowerSpans, orderPoints } from "./edge-lists.ts";
import { spansOfNothing, toleranceSeconds } from "./edge-lists.ts";
import type { SpansUnderWay } from "./edge-lists.ts";
import { networkFromNow } from "./network-from-now.ts";
import type { Happened, NetworkFromNow } from "./network-from-now.ts";
import type { UncertainNetwork } from "./uncertain-network.ts";

/** When a point of ours can happen. Seconds on the same scale as those of what has happened. */
export type StartWindow = {
  readonly point: number;
  readonly fromSeconds: number;
  /** Infinite: nothing says how late. */
  readonly toSeconds: number;
  readonly isFree: boolean;
  /** Contingent spans that it waits for, by place; and from when on it need not. */
  readonly waits: readonly { readonly contingent: number; readonly untilSeconds: number }[];
  /** Bounds that the end of the window comes from, by their places in the network's list. */
  readonly lastBounds: readonly number[];
};

/** The windows of all points of ours that have not happened; or why nothing keeps every bound. */
export type WindowsNow = Pick<NetworkFromNow, "brokenBounds" | "overdueContingents"> &
  (
    | { readonly windows: readonly StartWindow[]; readonly circle: null }
    /** Of the network from now on; see `networkFromNow` for its bounds. */
    | { readonly windows: null; readonly circle: UncertainCircle }
  );

/**
 * The windows as they are now.
 *
 * @param happened when each point that has happened did, seconds
 * @param nowSeconds not before anything that has happened
 * Errors: none.
 * Source: Morris 2014 (a worked-out network can be acted by); Hunsberger 2016, "Efficient execution of
 *   dynamically controllable simple temporal networks with uncertainty", on waits and real-time decisions.
 *   Checked by acting against drawn spans in tests/unit/machines/time/live-windows.test.ts
 */
export function startWindowsNow(
  network: UncertainNetwork,
  happened: Happened,
  nowSeconds: number,
): WindowsNow {
  const fromNow = networkFromNow(network, happened, nowSeconds);
  const { brokenBounds, overdueContingents } = fromNow;
  const { worked, circle } = workOutNetwork(fromNow.network);
  if (worked === null) return { windows: null, circle, brokenBounds, overdueContingents };
  const windows = readWindows({ network, happened, nowSeconds, fromNow, worked });
  return { windows, circle: null, brokenBounds, overdueContingents };
}

type Reading = {
  readonly network: UncertainNetwork;
  readonly happened: Happened;
  readonly nowSeconds: number;
  readonly fromNow: NetworkFromNow;
  readonly worked: WorkedNetwork;
};

function readWindows(reading: Reading): StartWindow[] {
  const { network, happened, nowSeconds, fromNow, worked } = reading;
  const { zeroSeconds } = fromNow;
  const back = spansBack(worked, fromNow.zero);
  const forth = plainSpans(worked, { from: fromNow.zero });
  const waits = readWaits(reading);
  const boundsOf = boundsReader(worked);
  const ends = new Set(network.contingents.map(({ end }) => end));
  const windows: StartWindow[] = [];
  for (let point = 0; point < network.points; point += 1) {
    if (happened.has(point) || ends.has(point)) continue;
    const fromSeconds = Math.max(nowSeconds, zeroSeconds - (back[point] ?? 0));
    const waitsHere = waits.get(point) ?? [];
    windows.push({
      point,
      fromSeconds,
      toSeconds: zeroSeconds + (forth.seconds[point] ?? Infinity),
      isFree: [fromSeconds, ...waitsHere.map(({ untilSeconds }) => untilSeconds)].every(
        (seconds) => seconds <= nowSeconds + toleranceSeconds,
      ),
      waits: waitsHere,
      lastBounds: lastBounds(reading, forth, { point, boundsOf }),
    });
  }
  return windows;
}

// All comes after the zero, so every way back to it is below nothing: lower edges count on it, too.
function spansBack({ graph }: WorkedNetwork, zero: number): Float64Array {
  const spans = spansOfNothing(graph.points);
  spans.seconds.fill(Infinity);
  spans.seconds[zero] = 0;
  lowerSpans(graph, spans, orderPoints(graph));
  return spans.seconds;
}

// Spans over plain edges alone, to a point or from one. What lower edges say is in what was worked out.
function plainSpans(
  { graph }: WorkedNetwork,
  ends: { readonly to: number } | { readonly from: number },
): SpansUnderWay {
  const labelled = new Set([...graph.lowerOfCut, ...graph.upperOfCut]);
  const lists = createEdgeLists(graph.points);
  for (const [edge, seconds] of graph.seconds.entries()) {
    const [from, to] = [graph.from[edge] ?? 0, graph.to[edge] ?? 0];
    // Edges keep their numbers: a labelled one becomes one that changes nothing.
    if (labelled.has(edge)) linkEdge(lists, from, from, 0);
    else if ("to" in ends) linkEdge(lists, from, to, seconds);
    else linkEdge(lists, to, from, seconds);
  }
  const spans = spansOfNothing(graph.points);
  spans.seconds.fill(Infinity);
  spans.seconds["to" in ends ? ends.to : ends.from] = 0;
  lowerSpans(lists, spans, orderPoints(lists));
  return spans;
}

type WaitsByPoint = Map<number, { readonly contingent: number; readonly untilSeconds: number }[]>;

function readWaits({ nowSeconds, fromNow, worked }: Reading): WaitsByPoint {
  const waits: WaitsByPoint = new Map();
  const add = (point: number, place: number, untilSeconds: number) => {
    const contingent = fromNow.placesOfContingents[place] ?? -1;
    waits.set(point, [...(waits.get(point) ?? []), { contingent, untilSeconds }]);
  };
  const { contingents } = fromNow.network;
  for (const { point, contingent, seconds } of worked.waits) {
    const hasBegun = contingents[contingent]?.activation === fromNow.now;
    add(point, contingent, hasBegun ? nowSeconds + seconds : Infinity);
  }
  for (const [place, { activation, end, leastSeconds, mostSeconds }] of contingents.entries()) {
    // What has not begun and takes its time keeps those after it back by their windows.
    const isUnderWay = activation === fromNow.now;
    if (!isUnderWay && (leastSeconds > 0 || mostSeconds === leastSeconds)) continue;
    const { seconds } = plainSpans(worked, { to: end });
    for (const [point, span] of seconds.entries()) {
      if (point !== end && span <= toleranceSeconds) add(point, place, Infinity);
    }
  }
  return waits;
}

// The walk from the zero by which the end of a window is set, as bounds of the whole network.
function lastBounds(
  { fromNow, worked }: Reading,
  { firstEdges }: SpansUnderWay,
  {
    point,
    boundsOf,
  }: { readonly point: number; readonly boundsOf: ReturnType<typeof boundsReader> },
): readonly number[] {
  const places = new Set<number>();
  for (let at = point; at !== fromNow.zero;) {
    const edge = firstEdges[at] ?? -1;
    if (edge < 0) return [];
    boundsOf(edge).forEach((bound) => places.add(fromNow.placesOfBounds[bound] ?? -1));
    at = worked.graph.from[edge] ?? fromNow.zero;
  }
  return [...places].filter((place) => place >= 0);
}
