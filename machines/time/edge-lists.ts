// Edges by number, in flat arrays, with the edges into each point as a linked list: what the searches of
// this folder walk over. It can grow while it is walked.
//
// An edge reads as a bound: `to` is at most `seconds` after `from`.
// [edge-lists 1] Spans are lowered until every edge is kept, or a circle below nothing is found.
// [edge-lists 2] In the order of points each has its place once, before those that wait for it: those with
//   an edge to it of nothing or less, unless they wait for each other.

import { assert } from "../base/assert.ts";

/** Edges by number. What an edge stands for is told by whoever made it. */
export type EdgeLists = {
  readonly points: number;
  readonly from: number[];
  readonly to: number[];
  readonly seconds: number[];
  /** Into each point: its newest edge (-1: none); and for each edge the one before it. */
  readonly newestInto: Int32Array;
  readonly olderInto: number[];
};

/** Spans under way: `seconds` only ever falls, `firstEdges` tells by which edge it did (-1: none). */
export type SpansUnderWay = { readonly seconds: Float64Array; readonly firstEdges: Int32Array };

/** Sums that differ by less are equal; a millionth of a second. */
export const toleranceSeconds = 1e-6;

/** Lists without edges. */
export function createEdgeLists(points: number): EdgeLists {
  const newestInto = new Int32Array(points).fill(-1);
  return { points, from: [], to: [], seconds: [], newestInto, olderInto: [] };
}

/** Adds an edge that walks pass over. Returns its number. Errors: none. */
export function linkEdge(lists: EdgeLists, from: number, to: number, seconds: number): number {
  const edge = addEdgeAside(lists, from, to, seconds);
  lists.olderInto[edge] = lists.newestInto[to] ?? -1;
  lists.newestInto[to] = edge;
  return edge;
}

/** Adds an edge that is in no list, so that no walk passes over it by itself. Returns its number. */
export function addEdgeAside(lists: EdgeLists, from: number, to: number, seconds: number): number {
  lists.from.push(from);
  lists.to.push(to);
  lists.seconds.push(seconds);
  lists.olderInto.push(-1);
  return lists.from.length - 1;
}

/** Spans of 0 from every point, to be lowered. */
export function spansOfNothing(points: number): SpansUnderWay {
  return { seconds: new Float64Array(points), firstEdges: new Int32Array(points).fill(-1) };
}

/**
 * Lowers spans until each keeps every edge: the span of `from` is at most that of `to` plus the edge's
 * seconds.
 *
 * @param first points whose spans may lower those of others
 * @returns the edges of a circle below nothing, in order, if one came up; then the spans mean nothing
 * Errors: none.
 * Source: Bellman 1958, Ford 1956, with the queue of Moore 1959; a look at the first edges once in as
 *   many changes as there are points finds a circle (as in Cherkassky & Goldberg 1999).
 */
export function lowerSpans(
  lists: EdgeLists,
  { seconds: spans, firstEdges }: SpansUnderWay,
  first: readonly number[],
): readonly number[] | null {
  const { from, seconds, newestInto, olderInto } = lists;
  if (!first.some((point) => lowersAny(lists, spans, point))) return null;
  const queue = [...first];
  const isQueued = new Uint8Array(lists.points);
  for (const point of queue) isQueued[point] = 1;
  let changes = 0;
  // The queue grows while it is walked.
  for (const point of queue) {
    isQueued[point] = 0;
    const span = spans[point] as number;
    let edge = newestInto[point] as number;
    for (; edge >= 0; edge = olderInto[edge] as number) {
      const start = from[edge] as number;
      const lowered = span + (seconds[edge] as number);
      if (lowered >= (spans[start] as number) - toleranceSeconds) continue;
      spans[start] = lowered;
      firstEdges[start] = edge;
      changes += 1;
      if (isQueued[start] === 0) queue.push(start);
      isQueued[start] = 1;
      const circle = changes % lists.points === 0 ? circleOfFirstEdges(lists, firstEdges) : null;
      if (circle !== null) return circle;
    }
  }
  return null;
}

/**
 * All points in an order in which spans settle quickly: a point before those that wait for it, as far as
 * they do not wait for each other.
 *
 * Errors: none.
 * Source: depth-first search, points in the reverse order of leaving them (Tarjan 1972).
 */
export function orderPoints({ points, from, seconds, newestInto, olderInto }: EdgeLists): number[] {
  const left: number[] = [];
  const nextEdge = newestInto.slice();
  const isEntered = new Uint8Array(points);
  for (let start = points - 1; start >= 0; start -= 1) {
    const walk = isEntered[start] === 1 ? [] : [start];
    isEntered[start] = 1;
    for (let point = walk.at(-1); point !== undefined; point = walk.at(-1)) {
      const edge = nextEdge[point] as number;
      if (edge < 0) {
        left.push(point);
        walk.pop();
        continue;
      }
      nextEdge[point] = olderInto[edge] as number;
      const waiting = from[edge] as number;
      if ((seconds[edge] as number) > 0 || isEntered[waiting] === 1) continue;
      isEntered[waiting] = 1;
      walk.push(waiting);
    }
  }
  return left.reverse();
}

function lowersAny(lists: EdgeLists, spans: Float64Array, point: number): boolean {
  let edge = lists.newestInto[point] as number;
  for (; edge >= 0; edge = lists.olderInto[edge] as number) {
    const lowered = (spans[point] as number) + (lists.seconds[edge] as number);
    if (lowered < (spans[lists.from[edge] as number] as number) - toleranceSeconds) return true;
  }
  return false;
}

// From each point the first edges lead on; where they come back to a point of the same walk, that is a
// circle, and such a circle is always below nothing.
function circleOfFirstEdges({ to, points }: EdgeLists, firstEdges: Int32Array): number[] | null {
  const walkOf = new Int32Array(points).fill(-1);
  for (let start = 0; start < points; start += 1) {
    let at = start;
    while (walkOf[at] === -1 && (firstEdges[at] as number) >= 0) {
      walkOf[at] = start;
      at = to[firstEdges[at] as number] as number;
    }
    if (walkOf[at] !== start || (firstEdges[at] as number) < 0) continue;
    const circle: number[] = [];
    const began = at;
    do {
      const edge = firstEdges[at] as number;
      circle.push(edge);
      at = to[edge] as number;
      assert(circle.length <= points, "a circle of first edges passes no point twice");
    } while (at !== began);
    return circle;
  }
  return null;
}
