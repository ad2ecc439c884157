// Dynamic controllability: whether starts can always be chosen so that every bound is kept, whatever
// the contingent spans turn out to be, by reacting only to what has happened.
//
// Definition: a point is *urgent* if an edge below nothing leads to it: something must wait for it.
// Definition: to *work out* an urgent point is to walk back from it, first over edges below nothing, and
//   to stop where the walk is back at nothing or more; each such walk becomes a plain edge, which says the
//   same from far.
// [controllable 1] A network is controllable exactly if no circle below nothing can be put together in
//   which every lower edge is followed by a stretch below nothing without its own upper edge.
// [controllable 2] If it is not, the answer is such a circle, in the network's own points.
// [controllable 3] A span may end at the very moment that something is decided: the decision can still
//   take it into account.
// [controllable 4] Both ways of walking give the same verdict. The circle of stopping walks is the tighter
//   one: passing walks may count more seconds short than a mend must find.
//
// The two ways differ in what a walk does at an urgent point that is no cut. *Stopping* walks need it to
// be worked out first and go on over edges of nothing or more: each point is worked out once, which pays
// where most spans are contingent, as in a procedure, and gives all that the strategy needs. *Passing*
// walks go through it, over edges of any sign: only the cuts are worked out, which pays where few spans are
// contingent. Since they leave out what other points would have brought, a point that waits gets a plain
// edge that says at least that it comes after the span's least time. Circles without an upper edge are found first and kept out by spans that every edge keeps;
// these also give the order in which points are reached, so that edges below nothing do no harm.
//
// A walk that comes to a point which must be worked out before it is given up and done again afterwards:
// so one set of arrays serves all walks, and no depth of calls can run out.

import { assert } from "../base/assert.ts";
import { circleOfEdges } from "./circle-of-edges.ts";
import type { UncertainCircle, WalksBack } from "./circle-of-edges.ts";
import {
  linkEdge,
  lowerSpans,
  orderPoints,
  spansOfNothing,
  toleranceSeconds,
} from "./edge-lists.ts";
import type { SpansUnderWay } from "./edge-lists.ts";
import { labelGraph } from "./labelled-graph.ts";
import type { LabelledGraph } from "./labelled-graph.ts";
import { clearPoints, createPointQueue, popPoint, pushPoint } from "./point-queue.ts";
import type { PointQueue } from "./point-queue.ts";
import type { UncertainNetwork } from "./uncertain-network.ts";

/** The verdict; if it is no, with a circle. */
export type Controllability =
  | { readonly controllable: true; readonly circle: null }
  | { readonly controllable: false; readonly circle: UncertainCircle };

/** What a network comes to once every urgent point is worked out: enough to act by. */
export type WorkedNetwork = {
  readonly graph: LabelledGraph;
  readonly walks: WalksBack;
  readonly waits: readonly Wait[];
};

/** `point` waits until `seconds` after the contingent span's activation, or until the span ends. */
export type Wait = {
  readonly point: number;
  readonly contingent: number;
  readonly seconds: number;
};

/** What walks do at urgent points that are no cuts. */
export type WayOfWalking = "stopping" | "passing";

/**
 * Whether a network with uncertainty can be controlled as it goes.
 *
 * @param way without it, the way that suits the network's share of contingent spans
 * Errors: none; the contingent spans must be without flaws (`contingentFlaws`).
 * Source: stopping walks are those of Morris 2014, "Dynamic controllability and dispatchability
 *   relationships"; passing walks with spans that order them those of Cairo, Hunsberger & Rizzi 2018,
 *   "Faster dynamic controllability checking for simple temporal networks with uncertainty". Checked
 *   against published verdicts (tests/published/posenato-hunsberger-stnu.test.ts), a plain
 *   rendering of Morris 2014 and a closure under the rules of Morris & Muscettola 2005.
 */
export function checkControllability(
  network: UncertainNetwork,
  way: WayOfWalking | null = null,
): Controllability {
  const walks = emptyWalks();
  const search = beginSearch(network, way, { walks, waits: null });
  const edges = workOut(search);
  if (edges === null) return { controllable: true, circle: null };
  return {
    controllable: false,
    circle: circleOfEdges({ network, graph: search.graph, walks }, edges),
  };
}

/** The verdict alone of `checkControllability`, at less cost. Errors: none. */
export function isControllable(
  network: UncertainNetwork,
  way: WayOfWalking | null = null,
): boolean {
  return workOut(beginSearch(network, way, { walks: null, waits: null })) === null;
}

/**
 * Works out all that the strategy of a network is read from; or the circle because of which there is none.
 *
 * Errors: none; the contingent spans must be without flaws.
 * Source: Morris 2014: a network without a bad circle, with its plain edges and waits, can be acted by.
 */
export function workOutNetwork(
  network: UncertainNetwork,
):
  | { readonly worked: WorkedNetwork; readonly circle: null }
  | { readonly worked: null; readonly circle: UncertainCircle } {
  const waits: Wait[] = [];
  const walks = emptyWalks();
  const search = beginSearch(network, "stopping", { walks, waits });
  const edges = workOut(search);
  const { graph } = search;
  if (edges === null) return { worked: { graph, walks, waits }, circle: null };
  return { worked: null, circle: circleOfEdges({ network, graph, walks }, edges) };
}

// Returns the edges of a circle, if there is one.
function workOut(search: Search): readonly number[] | null {
  const { graph, spans, isNeeded } = search;
  const all = orderPoints(graph);
  const plain = lowerSpans(graph, spans, all);
  if (plain !== null) return plain;
  // Latest first: what a later point brings is then at hand for the earlier ones.
  const points = all.filter((point) => isNeeded[point] === 1);
  points.sort((a, b) => (spans.seconds[a] ?? 0) - (spans.seconds[b] ?? 0));
  for (const point of points) {
    const circle = workOutPoint(search, point);
    if (circle !== null) return circle;
  }
  return null;
}

type Search = {
  readonly network: UncertainNetwork;
  readonly graph: LabelledGraph;
  readonly way: WayOfWalking;
  /** What every plain and lower edge keeps. */
  readonly spans: SpansUnderWay;
  readonly isNeeded: Uint8Array;
  readonly isWorkedOut: Uint8Array;
  /** The walk under way: how far each point is, and its first edge. */
  readonly distances: Float64Array;
  readonly firstEdges: Int32Array;
  readonly touched: number[];
  readonly queue: PointQueue;
} & Keeps;

/** What is kept of walks besides the edges that they become; null: nobody asks for it. */
type Keeps = { readonly walks: WalksBack | null; readonly waits: Wait[] | null };

function emptyWalks(): WalksBack {
  return { points: [], firstEdges: [], begins: new Map(), ends: new Map() };
}

function beginSearch(network: UncertainNetwork, wanted: WayOfWalking | null, keeps: Keeps): Search {
  const graph = labelGraph(network);
  const isUrgent = new Uint8Array(graph.points);
  for (const [edge, seconds] of graph.seconds.entries()) {
    if (seconds < 0) isUrgent[graph.to[edge] ?? 0] = 1;
  }
  const isCut = Uint8Array.from(graph.contingentOfCut, (place) => (place >= 0 ? 1 : 0));
  const cuts = graph.points - network.points;
  const urgent = isUrgent.reduce((sum, one) => sum + one, 0);
  // Measured: passing is faster by far at one cut in nine urgent points, slower by far at one in two.
  const way = wanted ?? (4 * cuts < urgent ? "passing" : "stopping");
  return {
    network,
    graph,
    way,
    spans: spansOfNothing(graph.points),
    isNeeded: way === "passing" ? isCut : isUrgent,
    isWorkedOut: new Uint8Array(graph.points),
    distances: new Float64Array(graph.points).fill(Infinity),
    firstEdges: new Int32Array(graph.points).fill(-1),
    touched: [],
    queue: createPointQueue(),
    ...keeps,
  };
}

type UnderWay = { readonly point: number; readonly walkHere: readonly number[] };

// Works out a point and all that it needs. Returns the edges of a circle if one closes.
function workOutPoint(search: Search, point: number): readonly number[] | null {
  const underWay: UnderWay[] = [{ point, walkHere: [] }];
  const isUnderWay = new Set([point]);
  for (let current = underWay.at(-1); current !== undefined; current = underWay.at(-1)) {
    const { point: began } = current;
    const needed = search.isWorkedOut[began] === 1 ? -1 : walkBackFrom(search, began);
    if (needed < 0) {
      underWay.pop();
      isUnderWay.delete(began);
      const circle = lowerSpans(search.graph, search.spans, [began]);
      if (circle !== null) return circle;
      continue;
    }
    const walkHere = walkTo(search, needed, began);
    if (isUnderWay.has(needed)) {
      const place = underWay.findIndex(({ point }) => point === needed);
      const rest = underWay.slice(place + 1).reverse();
      return [...walkHere, ...rest.flatMap((part) => part.walkHere)];
    }
    underWay.push({ point: needed, walkHere });
    isUnderWay.add(needed);
  }
  return null;
}

// The edges from a point that the walk under way has come to, on to where the walk began.
function walkTo({ graph, firstEdges }: Search, from: number, began: number): number[] {
  const edges: number[] = [];
  let at = from;
  do {
    const edge = firstEdges[at] ?? -1;
    assert(edge >= 0 && edges.length <= graph.points, "a walk leads back to where it began");
    edges.push(edge);
    at = graph.to[edge] ?? began;
  } while (at !== began);
  return edges;
}

// Returns -1 when the point is worked out, else a point that must be worked out before.
function walkBackFrom(search: Search, began: number): number {
  const { graph, distances, queue, isNeeded, isWorkedOut } = search;
  beginWalk(search, began);
  const ownLower = graph.lowerOfCut[began] ?? -1;
  const isPassing = search.way === "passing";
  const reached: number[] = [];
  for (;;) {
    const key = queue.keys[0] ?? Infinity;
    const point = popPoint(queue);
    if (point < 0) break;
    const distance = distances[point] as number;
    if (key > distance - (search.spans.seconds[point] as number)) continue;
    if (distance > -toleranceSeconds) {
      if (point !== began) reached.push(point);
      continue;
    }
    if (isNeeded[point] === 1 && isWorkedOut[point] === 0) return point;
    let edge = graph.newestInto[point] as number;
    for (; edge >= 0; edge = graph.olderInto[edge] as number) {
      // A span that takes all its time does not also end at once.
      if (edge === ownLower) continue;
      if (isPassing || (graph.seconds[edge] as number) >= 0) reach(search, edge, distance);
    }
  }
  keepWalk(search, began, reached);
  return -1;
}

function beginWalk(search: Search, began: number): void {
  const { graph, distances, touched, queue } = search;
  for (const point of touched) distances[point] = Infinity;
  touched.length = 0;
  clearPoints(queue);
  const upper = graph.upperOfCut[began] ?? -1;
  if (upper >= 0) reach(search, upper, 0);
  let edge = graph.newestInto[began] as number;
  for (; edge >= 0; edge = graph.olderInto[edge] as number) {
    if ((graph.seconds[edge] as number) < 0) reach(search, edge, 0);
  }
}

function reach(search: Search, edge: number, distance: number): void {
  const { graph, distances, firstEdges, touched, queue, spans } = search;
  const start = graph.from[edge] as number;
  const nearer = distance + (graph.seconds[edge] as number);
  const known = distances[start] as number;
  if (nearer > known - toleranceSeconds) return;
  if (known === Infinity) touched.push(start);
  distances[start] = nearer;
  firstEdges[start] = edge;
  pushPoint(queue, start, nearer - (spans.seconds[start] as number));
}

function keepWalk(search: Search, began: number, reached: readonly number[]): void {
  const { graph, network, distances, firstEdges, touched, walks, waits } = search;
  for (const point of reached) linkEdge(graph, point, began, Math.max(0, distances[point] ?? 0));
  search.isWorkedOut[began] = 1;
  if (walks !== null) {
    walks.begins.set(began, walks.points.length);
    for (const point of touched) {
      walks.points.push(point);
      walks.firstEdges.push(firstEdges[point] as number);
    }
    walks.ends.set(began, walks.points.length);
  }
  const contingent = network.contingents[graph.contingentOfCut[began] ?? -1];
  if (contingent === undefined || (search.way === "stopping" && waits === null)) return;
  const { end, leastSeconds, mostSeconds } = contingent;
  for (const point of touched) {
    const distance = distances[point] ?? 0;
    if (distance > -toleranceSeconds || point === end) continue;
    // Whoever waits for the span's end or a time after its least comes after its least.
    if (search.way === "passing") {
      if (distance > leastSeconds - mostSeconds) linkEdge(graph, point, began, 0);
    } else if (point < network.points) {
      const place = graph.contingentOfCut[began] ?? -1;
      waits?.push({ point, contingent: place, seconds: leastSeconds - distance });
    }
  }
}
