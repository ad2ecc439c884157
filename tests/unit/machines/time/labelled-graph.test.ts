import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import { labelGraph } from "../../../../machines/time/labelled-graph.ts";
import { anUncertainNetwork } from "../../../support/an-uncertain-network.ts";

test("[labelled 1] each edge's seconds are the sum of what it stands for", () => {
  for (let seed = 1; seed <= 100; seed += 1) {
    const wishes = { points: 8, contingents: 4, bounds: 12, secondsMax: 9 };
    const network = anUncertainNetwork(createSeededRandom(seed), wishes);
    const graph = labelGraph(network);
    for (const [edge, meaning] of graph.meanings.entries()) {
      if ("bound" in meaning) {
        expect(graph.seconds[edge]).toBe(network.bounds[meaning.bound]?.seconds);
        continue;
      }
      const { leastSeconds = 0, mostSeconds = 0 } = network.contingents[meaning.contingent] ?? {};
      const sum = meaning.leasts * leastSeconds + meaning.mosts * mostSeconds;
      // The lower edge stands for ending at once after the least.
      expect(graph.seconds[edge], `seed ${seed}, edge ${edge}`).toBeCloseTo(sum, 9);
    }
  }
});

test("[labelled 2] a span without a rest brings no cut", () => {
  const span = { activation: 0, end: 1, leastSeconds: 4, mostSeconds: 4 };
  const graph = labelGraph({ points: 2, bounds: [], contingents: [span] });
  expect(graph.points).toBe(2);
  expect(graph.seconds).toEqual([4, -4]);
});

test("[labelled 3] an upper edge is in no list", () => {
  const span = { activation: 0, end: 1, leastSeconds: 4, mostSeconds: 9 };
  const graph = labelGraph({ points: 2, bounds: [], contingents: [span] });
  const upper = graph.upperOfCut[2] ?? -1;
  expect([graph.from[upper], graph.to[upper], graph.seconds[upper]]).toEqual([1, 2, -5]);
  const listed: number[] = [];
  let edge = graph.newestInto[2] ?? -1;
  for (; edge >= 0; edge = graph.olderInto[edge] ?? -1) listed.push(edge);
  expect(listed).not.toContain(upper);
  expect(listed).toHaveLength(2);
});
