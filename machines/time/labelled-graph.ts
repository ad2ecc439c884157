// The labelled graph of a network with uncertainty: what the check of controllability works on.
//
// Each contingent span is cut in two by a point of its own: a fixed part of its least time, and a rest of
// 0 to most - least seconds. The rest brings two labelled edges: the *lower* one, from the cut to the
// end, of 0 seconds (it may end at once), and the *upper* one, from the end to the cut, of
// -(most - least) seconds (it may take all its time).
//
// [labelled 1] Every edge says what it stands for: a bound, or how often it counts the least and the most
//   of a contingent span; its seconds are the sum.
// [labelled 2] A span whose least and most are equal is no uncertainty: it brings plain edges only.
// [labelled 3] Only plain and lower edges are in the lists that walks pass over; an upper edge is found by
//   its cut.

import { assert } from "../base/assert.ts";
import { addEdgeAside, createEdgeLists, linkEdge } from "./edge-lists.ts";
import type { EdgeLists } from "./edge-lists.ts";
import type { Contingent, UncertainNetwork } from "./uncertain-network.ts";

/** The graph: the network's own points come first, then one cut for each contingent span with a rest. */
export type LabelledGraph = EdgeLists & {
  /** What each of the first edges stands for; edges that are derived later have none. */
  readonly meanings: readonly EdgeMeaning[];
  /** For each point: the contingent span that it cuts, and that span's labelled edges; -1: none. */
  readonly contingentOfCut: Int32Array;
  readonly lowerOfCut: Int32Array;
  readonly upperOfCut: Int32Array;
};

/** What an edge of the network stands for. */
export type EdgeMeaning =
  | { readonly bound: number }
  | { readonly contingent: number; readonly leasts: number; readonly mosts: number };

/**
 * The labelled graph of a network.
 *
 * Errors: none; the contingent spans must be without flaws.
 * Source: Morris 2014, "Dynamic controllability and dispatchability relationships", on the normal form;
 *   Morris & Muscettola 2005, "Temporal dynamic controllability revisited", on the labelled edges.
 */
export function labelGraph(network: UncertainNetwork): LabelledGraph {
  const points = network.points + network.contingents.filter(hasRest).length;
  const graph = {
    ...createEdgeLists(points),
    meanings: [] as EdgeMeaning[],
    contingentOfCut: new Int32Array(points).fill(-1),
    lowerOfCut: new Int32Array(points).fill(-1),
    upperOfCut: new Int32Array(points).fill(-1),
  };
  for (const [bound, { from, to, seconds }] of network.bounds.entries()) {
    linkEdge(graph, from, to, seconds);
    graph.meanings.push({ bound });
  }
  let cut = network.points;
  for (const [place, contingent] of network.contingents.entries()) {
    if (hasRest(contingent)) {
      linkCutSpan(graph, contingent, { place, cut });
      cut += 1;
    } else {
      linkFixedSpan(graph, contingent, place);
    }
  }
  assert(graph.meanings.length === graph.from.length, "every edge has its meaning");
  return graph;
}

type GraphUnderWay = LabelledGraph & { readonly meanings: EdgeMeaning[] };
type Cut = { readonly place: number; readonly cut: number };

function hasRest({ leastSeconds, mostSeconds }: Contingent): boolean {
  return mostSeconds > leastSeconds;
}

function linkFixedSpan(graph: GraphUnderWay, span: Contingent, contingent: number): void {
  linkEdge(graph, span.activation, span.end, span.mostSeconds);
  graph.meanings.push({ contingent, leasts: 0, mosts: 1 });
  linkEdge(graph, span.end, span.activation, -span.leastSeconds);
  graph.meanings.push({ contingent, leasts: -1, mosts: 0 });
}

function linkCutSpan(graph: GraphUnderWay, span: Contingent, { place, cut }: Cut): void {
  const { activation, end, leastSeconds, mostSeconds } = span;
  const rest = mostSeconds - leastSeconds;
  const mean = (leasts: number, mosts: number) =>
    graph.meanings.push({ contingent: place, leasts, mosts });
  linkEdge(graph, activation, cut, leastSeconds);
  mean(1, 0);
  linkEdge(graph, cut, activation, -leastSeconds);
  mean(-1, 0);
  linkEdge(graph, cut, end, rest);
  mean(-1, 1);
  linkEdge(graph, end, cut, 0);
  mean(0, 0);
  graph.contingentOfCut[cut] = place;
  graph.lowerOfCut[cut] = linkEdge(graph, cut, end, 0);
  mean(0, 0);
  graph.upperOfCut[cut] = addEdgeAside(graph, end, cut, -rest);
  mean(1, -1);
}
