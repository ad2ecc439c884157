// Random networks against a graph library (graphology with graphology-shortest-path), which knows
// nothing of ours: its Dijkstra gives the spans, after Johnson's shift to weights of nothing or more.

import { MultiDirectedGraph } from "graphology";
import { dijkstra } from "graphology-shortest-path";
import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../../../machines/base/seeded-random.ts";
import {
  criticalChain,
  findCircle,
  networkTimes,
  slackSeconds,
} from "../../../../machines/time/simple-network.ts";
import type { Bound, SimpleNetwork } from "../../../../machines/time/simple-network.ts";
import { minimalNetwork, spanSeconds } from "../../../../machines/time/minimal-network.ts";

test("[simple 1] a network has a circle below nothing exactly if no times keep it", () => {
  let kept = 0;
  let notKept = 0;
  for (let seed = 1; seed <= 400; seed += 1) {
    const network = aNetwork(createSeededRandom(seed));
    const circle = findCircle(network);
    const times = timesBySweeps(network);
    expect(circle === null, `seed ${seed}`).toBe(times !== null);
    if (circle === null) {
      kept += 1;
      continue;
    }
    notKept += 1;
    checkCircle(network, circle.bounds, circle.seconds);
  }
  expect(Math.min(kept, notKept)).toBeGreaterThan(50);
});

test("[simple 2] earliest and latest times are the spans that a graph library finds", () => {
  let compared = 0;
  for (let seed = 1; seed <= 150; seed += 1) {
    const network = aNetwork(createSeededRandom(seed));
    const shift = timesBySweeps(network);
    const { times } = networkTimes(network, 0);
    expect(times === null, `seed ${seed}`).toBe(shift === null);
    const all = minimalNetwork(network);
    if (times === null || shift === null || all.minimal === null) continue;
    for (let from = 0; from < network.points; from += 1) {
      const spans = spansByLibrary(network, shift, from);
      const ours = spans.map((_, to) => spanSeconds(all.minimal, from, to));
      expect(ours, `seed ${seed}`).toEqual(spans);
      if (from === 0) expect([...times.latestSeconds]).toEqual(spans);
      expect(times.earliestSeconds[from]).toBe(0 - (spans[0] ?? 0));
      compared += spans.length;
    }
  }
  expect(compared).toBeGreaterThan(1000);
});

test("[simple 3] the critical chain leads from a point to the origin and sums up to its time", () => {
  for (let seed = 1; seed <= 150; seed += 1) {
    const network = aNetwork(createSeededRandom(seed));
    const { times } = networkTimes(network, 0);
    if (times === null) continue;
    for (const [point, earliest] of times.earliestSeconds.entries()) {
      const chain = criticalChain(network, 0, point).map((place) => boundOf(network, place));
      if (chain.length === 0) {
        expect(earliest === -Infinity || point === 0).toBe(true);
        continue;
      }
      expect(chain.reduce((sum, { seconds }) => sum + seconds, 0)).toBe(0 - earliest);
      expect(chain[0]?.from).toBe(point);
      expect(chain.at(-1)?.to).toBe(0);
      for (const [at, bound] of chain.slice(1).entries()) expect(bound.from).toBe(chain[at]?.to);
    }
  }
});

test("[simple 4] sums of fractions that come to nothing are no circle", () => {
  const bounds = [
    { from: 0, to: 1, seconds: 0.1 },
    { from: 1, to: 2, seconds: 0.2 },
    { from: 2, to: 0, seconds: -0.30000000000000004 },
  ];
  expect(findCircle({ points: 3, bounds })).toBeNull();
  const short = [...bounds.slice(0, 2), { from: 2, to: 0, seconds: -0.30001 }];
  expect(findCircle({ points: 3, bounds: short })?.seconds).toBeCloseTo(-0.00001, 9);
});

test("[simple 5] slack is how much later a point can be without moving the end", () => {
  for (let seed = 1; seed <= 150; seed += 1) {
    const network = aNetwork(createSeededRandom(seed));
    const end = network.points - 1;
    const { times } = networkTimes(network, 0);
    const endSeconds = times?.earliestSeconds[end] ?? -Infinity;
    if (times === null || endSeconds === -Infinity) continue;
    const slacks = slackSeconds(network, 0, end);
    const tight = [...network.bounds, { from: 0, to: end, seconds: endSeconds }];
    for (const [point, slack] of slacks.entries()) {
      const earliest = times.earliestSeconds[point] ?? 0;
      if (!Number.isFinite(slack) || earliest === -Infinity) continue;
      const atLeast = (seconds: number) => ({
        points: network.points,
        bounds: [...tight, { from: point, to: 0, seconds: -seconds }],
      });
      expect(findCircle(atLeast(earliest + slack)), `seed ${seed}`).toBeNull();
      expect(findCircle(atLeast(earliest + slack + 1)), `seed ${seed}`).not.toBeNull();
    }
  }
});

function aNetwork(random: SeededRandom): SimpleNetwork {
  const points = 2 + random.nextBelow(9);
  const count = random.nextBelow(3 * points) + 1;
  const bounds = Array.from({ length: count }, () => ({
    from: random.nextBelow(points),
    to: random.nextBelow(points),
    seconds: random.nextBelow(60) - 15,
  }));
  return { points, bounds };
}

function boundOf(network: SimpleNetwork, place: number): Bound {
  const bound = network.bounds[place];
  if (bound === undefined) throw new Error(`no bound ${place}`);
  return bound;
}

function checkCircle(network: SimpleNetwork, places: readonly number[], seconds: number): void {
  const circle = places.map((place) => boundOf(network, place));
  expect(circle.reduce((sum, bound) => sum + bound.seconds, 0)).toBe(seconds);
  expect(seconds).toBeLessThan(0);
  for (const [at, bound] of circle.entries()) {
    expect(bound.from).toBe(circle.at(at - 1)?.to);
  }
}

// Bellman-Ford as it stands in textbooks: as many sweeps as points; null if bounds still give way.
function timesBySweeps({ points, bounds }: SimpleNetwork): number[] | null {
  const times = Array.from({ length: points }, () => 0);
  for (let sweep = 0; sweep <= points; sweep += 1) {
    let gaveWay = false;
    for (const { from, to, seconds } of bounds) {
      if ((times[to] ?? 0) <= (times[from] ?? 0) + seconds) continue;
      times[to] = (times[from] ?? 0) + seconds;
      gaveWay = true;
    }
    if (!gaveWay) return times;
  }
  return null;
}

function spansByLibrary(network: SimpleNetwork, shift: readonly number[], from: number): number[] {
  const graph = new MultiDirectedGraph({ multi: true });
  for (let point = 0; point < network.points; point += 1) graph.addNode(String(point));
  for (const bound of network.bounds) {
    const weight = bound.seconds + (shift[bound.from] ?? 0) - (shift[bound.to] ?? 0);
    graph.addDirectedEdge(String(bound.from), String(bound.to), { weight });
  }
  const paths = dijkstra.singleSource(graph, String(from), "weight");
  return Array.from({ length: network.points }, (_, to) => {
    const path = paths[String(to)];
    if (path === undefined) return Infinity;
    let span = 0;
    for (const [at, node] of path.slice(1).entries()) {
      const between = network.bounds.filter(
        (bound) => bound.from === Number(path[at]) && bound.to === Number(node),
      );
      span += Math.min(...between.map(({ seconds }) => seconds));
    }
    return span;
  });
}
