// A circle that cannot be kept, told in the network's own points and bounds.
//
// The search finds circles of edges some of which stand for whole walks. Such a circle may stand for
// more edges than there is room for (Hunsberger 2013, "Magic loops in simple temporal networks with
// uncertainty"); so what it counts is summed up without writing it out, and only its first legs are.
//
// [circle 1] The circle's seconds are below nothing, and the sum over bounds and over least and most times,
//   each as often as it is counted (unless a count is so large that the sum is not exact).
// [circle 2] Legs follow each other, each beginning where the one before ended, and the last ends where
//   the first began, unless there are more than `legsMax`; then `isCut` says so.

import { assert } from "../base/assert.ts";
import { createHeap } from "../base/heap.ts";
import type { LabelledGraph } from "./labelled-graph.ts";
import type { UncertainNetwork } from "./uncertain-network.ts";

/** A circle below nothing: what it counts, and its legs in order. */
export type UncertainCircle = {
  /** Below nothing: so many seconds are missing. */
  readonly seconds: number;
  /** How often each bound is counted, by its place in the list. */
  readonly timesByBound: ReadonlyMap<number, number>;
  /** How often the least and the most of each contingent span are counted; with their signs. */
  readonly leastsByContingent: ReadonlyMap<number, number>;
  readonly mostsByContingent: ReadonlyMap<number, number>;
  readonly legs: readonly CircleLeg[];
  readonly isCut: boolean;
};

/** One leg: `to` is at most `seconds` after `from`, and why. */
export type CircleLeg = {
  readonly from: number;
  readonly to: number;
  readonly seconds: number;
  readonly why:
    | { readonly bound: number }
    | { readonly contingent: number; readonly takes: "least" | "most" };
};

/**
 * How walks went: for the walk from each point, from `begins` up to `ends` (without it), the points that it
 * came to, and for each the edge by which it is left towards where the walk began.
 */
export type WalksBack = {
  readonly points: number[];
  readonly firstEdges: number[];
  readonly begins: Map<number, number>;
  readonly ends: Map<number, number>;
};

/** Legs beyond this number are not written out. */
export const legsMax = 400;

// Up to this count the sum of counted seconds is exact enough.
const countExact = 1e6;

/** What edges are told from. */
export type Told = {
  readonly network: UncertainNetwork;
  readonly graph: LabelledGraph;
  /** The edges into a point that stand for walks stand for those of the walk from this point. */
  readonly walks: WalksBack;
};

/**
 * Tells a circle of edges of the labelled graph.
 *
 * Errors: an assertion if the edges do not form a circle.
 */
export function circleOfEdges(told: Told, edges: readonly number[]): UncertainCircle {
  const { graph } = told;
  for (const [place, edge] of edges.entries()) {
    const following = edges[(place + 1) % edges.length] ?? edge;
    assert(graph.to[edge] === graph.from[following], "each edge ends where the next begins");
  }
  const walkOf = walkReader(told);
  const { written, isCut } = writeOut(told, edges, walkOf);
  const { counts, seconds } = countEdges(told, edges, walkOf);
  const own = edges.reduce((sum, edge) => sum + (graph.seconds[edge] ?? 0), 0);
  return {
    // Where millions of edges cancel out, their sum is less exact than that of the walks.
    seconds: [...counts.values()].every((count) => count < countExact)
      ? Math.min(own, seconds)
      : own,
    ...countMeanings(told, counts),
    legs: legsOf(told, written),
    isCut,
  };
}

/**
 * Tells which bounds an edge counts, by their places in the network's list, each once; of derived edges
 * all that they stand for.
 *
 * Errors: none.
 */
export function boundsReader(told: Omit<Told, "network">): (edge: number) => ReadonlySet<number> {
  const walkOf = walkReader(told);
  const known = new Map<number, ReadonlySet<number>>();
  const read = (edge: number): ReadonlySet<number> => {
    const meaning = told.graph.meanings[edge];
    if (meaning !== undefined) return new Set("bound" in meaning ? [meaning.bound] : []);
    const bounds = new Set<number>();
    for (const step of walkOf(edge)) known.get(step)?.forEach((bound) => bounds.add(bound));
    return bounds;
  };
  // What an edge stands for is older than it: the oldest are read first.
  return (edge) => {
    const waiting = [edge];
    for (let at = waiting.at(-1); at !== undefined; at = waiting.at(-1)) {
      const isDerived = told.graph.meanings[at] === undefined;
      const missing = isDerived ? walkOf(at).filter((step) => !known.has(step)) : [];
      if (missing.length > 0 && !known.has(at)) {
        waiting.push(...missing);
        continue;
      }
      if (!known.has(at)) known.set(at, read(at));
      waiting.pop();
    }
    return known.get(edge) ?? new Set();
  };
}

type WalkReader = (edge: number) => readonly number[];

// The edges that a derived edge stands for, in order.
function walkReader({ graph, walks }: Omit<Told, "network">): WalkReader {
  const edgesByPoint = new Map<number, ReadonlyMap<number, number>>();
  const firstEdgesOf = (began: number): ReadonlyMap<number, number> => {
    const known = edgesByPoint.get(began);
    if (known !== undefined) return known;
    const made = new Map<number, number>();
    const end = walks.ends.get(began) ?? 0;
    for (let place = walks.begins.get(began) ?? 0; place < end; place += 1) {
      made.set(walks.points[place] ?? -1, walks.firstEdges[place] ?? -1);
    }
    edgesByPoint.set(began, made);
    return made;
  };
  return (edge) => {
    const began = graph.to[edge] ?? -1;
    const firstEdges = firstEdgesOf(began);
    const walk: number[] = [];
    let at = graph.from[edge] ?? -1;
    while (at !== began) {
      const step = firstEdges.get(at) ?? -1;
      assert(step >= 0 && step < edge, "a walk is made of edges that were there before");
      walk.push(step);
      at = graph.to[step] ?? -1;
    }
    return walk;
  };
}

// From the newest edge to the oldest: what stands for a walk passes its count on to the walk's edges.
function countEdges({ graph }: Pick<Told, "graph">, edges: readonly number[], walkOf: WalkReader) {
  const counts = new Map<number, number>();
  const derived = createHeap<number>((a, b) => a > b);
  let seconds = 0;
  const count = (edge: number, times: number) => {
    const before = counts.get(edge);
    counts.set(edge, (before ?? 0) + times);
    if (edge < graph.meanings.length) seconds += times * (graph.seconds[edge] ?? 0);
    else if (before === undefined) derived.push(edge);
  };
  for (const edge of edges) count(edge, 1);
  // Walks are made of older edges only, so the newest of those waiting has its whole count.
  for (let newest = derived.pop(); newest !== undefined; newest = derived.pop()) {
    for (const step of walkOf(newest)) count(step, counts.get(newest) ?? 0);
  }
  return { counts, seconds };
}

function countMeanings({ graph }: Pick<Told, "graph">, counts: ReadonlyMap<number, number>) {
  const timesByBound = new Map<number, number>();
  const leastsByContingent = new Map<number, number>();
  const mostsByContingent = new Map<number, number>();
  for (const [edge, times] of counts) {
    const meaning = graph.meanings[edge];
    if (meaning === undefined) continue;
    if ("bound" in meaning) addTimes(timesByBound, meaning.bound, times);
    else {
      addTimes(leastsByContingent, meaning.contingent, times * meaning.leasts);
      addTimes(mostsByContingent, meaning.contingent, times * meaning.mosts);
    }
  }
  return { timesByBound, leastsByContingent, mostsByContingent };
}

function addTimes(into: Map<number, number>, key: number, times: number): void {
  const sum = (into.get(key) ?? 0) + times;
  if (sum === 0) into.delete(key);
  else into.set(key, sum);
}

function writeOut({ graph }: Told, edges: readonly number[], walkOf: WalkReader) {
  const waiting = [...edges].reverse();
  const written: number[] = [];
  while (waiting.length > 0 && written.length < 2 * legsMax) {
    const edge = waiting.pop() ?? 0;
    if (edge < graph.meanings.length) written.push(edge);
    else waiting.push(...[...walkOf(edge)].reverse());
  }
  return { written, isCut: waiting.length > 0 };
}

// Edges into and out of a cut are told as legs between the ends of its span: back from the end to the
// activation, on from the activation to the end, or both.
function legsOf(told: Told, written: readonly number[]): CircleLeg[] {
  const { network, graph } = told;
  const isOwn = (edge: number) => (graph.from[edge] ?? 0) < network.points;
  const start = Math.max(0, written.findIndex(isOwn));
  const turned = [...written.slice(start), ...written.slice(0, start)];
  return turned.flatMap((edge) => {
    const meaning = graph.meanings[edge];
    assert(meaning !== undefined, "what is written out are edges of the network");
    if ("contingent" in meaning) return legOfSpan(told, edge, meaning.contingent);
    const [from = 0, to = 0, seconds = 0] = [graph.from[edge], graph.to[edge], graph.seconds[edge]];
    return [{ from, to, seconds, why: meaning }];
  });
}

function legOfSpan({ network, graph }: Told, edge: number, contingent: number): CircleLeg[] {
  const span = network.contingents[contingent];
  assert(span !== undefined, "a span that is named is in the list");
  const { activation, end, leastSeconds, mostSeconds } = span;
  if (graph.from[edge] === end) {
    const isMost = edge === graph.upperOfCut[graph.to[edge] ?? 0];
    const takes = isMost ? "most" : "least";
    const seconds = isMost ? -mostSeconds : -leastSeconds;
    return [{ from: end, to: activation, seconds, why: { contingent, takes } }];
  }
  if (graph.to[edge] === end) {
    const isLeast = edge === graph.lowerOfCut[graph.from[edge] ?? 0];
    const takes = isLeast ? "least" : "most";
    const seconds = isLeast ? leastSeconds : mostSeconds;
    return [{ from: activation, to: end, seconds, why: { contingent, takes } }];
  }
  // Between the activation and the cut: told with the other edge at the cut.
  return [];
}
