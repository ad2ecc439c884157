// A plain rendering of the cubic algorithm of Morris 2014, "Dynamic controllability and
// dispatchability relationships" (procedure DCbackprop; from memory): slow and obvious on purpose, to
// check the product's own and to be measured against.
//
// Normal form: a contingent span [x, y] is a plain span of exactly x and a contingent one of [0, y - x].

import type { UncertainNetwork } from "../../machines/time/uncertain-network.ts";

type Edge = {
  readonly from: number;
  readonly to: number;
  readonly weight: number;
  readonly label: null | { readonly case: "lower" | "upper"; readonly contingent: number };
};

/** The verdict of Morris 2014. */
export function isControllableByMorris2014(network: UncertainNetwork): boolean {
  const edges = normalForm(network);
  const nodes = [...new Set(edges.flatMap(({ from, to }) => [from, to]))];
  const inEdges = new Map<number, Edge[]>(nodes.map((node) => [node, []]));
  for (const edge of edges) inEdges.get(edge.to)?.push(edge);
  const isNegative = (node: number) => (inEdges.get(node) ?? []).some(({ weight }) => weight < 0);
  const terminated = new Set<number>();
  const ancestors = new Set<number>();

  const backPropagate = (source: number): boolean => {
    if (ancestors.has(source)) return false;
    if (terminated.has(source)) return true;
    ancestors.add(source);
    const distances = new Map<number, number>();
    const queue = new Map<number, number>();
    const reach = (node: number, distance: number) => {
      if (distance >= (distances.get(node) ?? Infinity)) return;
      distances.set(node, distance);
      queue.set(node, distance);
    };
    const first = (inEdges.get(source) ?? []).filter(({ weight }) => weight < 0);
    const ownContingents = new Set(first.map(({ label }) => label?.contingent));
    for (const edge of first) reach(edge.from, edge.weight);
    while (queue.size > 0) {
      const [node, distance] = takeNearest(queue);
      if (distance >= 0) {
        inEdges.get(source)?.push({ from: node, to: source, weight: distance, label: null });
        continue;
      }
      if (isNegative(node) && !backPropagate(node)) return false;
      for (const edge of inEdges.get(node) ?? []) {
        if (edge.weight < 0) continue;
        if (edge.label?.case === "lower" && ownContingents.has(edge.label.contingent)) continue;
        reach(edge.from, distance + edge.weight);
      }
    }
    ancestors.delete(source);
    terminated.add(source);
    return true;
  };
  return nodes.filter(isNegative).every(backPropagate);
}

function normalForm({ points, bounds, contingents }: UncertainNetwork): Edge[] {
  const edges: Edge[] = bounds.map(({ from, to, seconds }) => ({
    from,
    to,
    weight: seconds,
    label: null,
  }));
  for (const [
    contingent,
    { activation, end, leastSeconds, mostSeconds },
  ] of contingents.entries()) {
    const middle = points + contingent;
    const rest = mostSeconds - leastSeconds;
    edges.push(
      { from: activation, to: middle, weight: leastSeconds, label: null },
      { from: middle, to: activation, weight: -leastSeconds, label: null },
      { from: middle, to: end, weight: rest, label: null },
      { from: end, to: middle, weight: 0, label: null },
      { from: middle, to: end, weight: 0, label: { case: "lower", contingent } },
      { from: end, to: middle, weight: -rest, label: { case: "upper", contingent } },
    );
  }
  return edges;
}

function takeNearest(queue: Map<number, number>): [node: number, distance: number] {
  let nearest: [number, number] | undefined;
  for (const [node, distance] of queue) {
    if (nearest === undefined || distance < nearest[1]) nearest = [node, distance];
  }
  if (nearest === undefined) throw new Error("nothing waits");
  queue.delete(nearest[0]);
  return nearest;
}
