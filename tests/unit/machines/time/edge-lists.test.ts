import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import {
  addEdgeAside,
  createEdgeLists,
  linkEdge,
  lowerSpans,
  spansOfNothing,
} from "../../../../machines/time/edge-lists.ts";

test("[edge-lists 1] spans keep every edge, or the circle returned is below nothing", () => {
  let kept = 0;
  let circles = 0;
  for (let seed = 1; seed <= 500; seed += 1) {
    const random = createSeededRandom(seed);
    const points = 2 + random.nextBelow(10);
    const lists = createEdgeLists(points);
    for (let count = 0; count < 2 * points; count += 1) {
      const seconds = random.nextBelow(40) - 8;
      linkEdge(lists, random.nextBelow(points), random.nextBelow(points), seconds);
    }
    const spans = spansOfNothing(points);
    const all = Array.from({ length: points }, (_, point) => point);
    const circle = lowerSpans(lists, spans, all);
    if (circle === null) {
      kept += 1;
      for (const [edge, from] of lists.from.entries()) {
        const span = (spans.seconds[lists.to[edge] ?? 0] ?? 0) + (lists.seconds[edge] ?? 0);
        expect(spans.seconds[from], `seed ${seed}`).toBeLessThanOrEqual(span);
      }
      continue;
    }
    circles += 1;
    const total = circle.reduce((sum, edge) => sum + (lists.seconds[edge] ?? 0), 0);
    expect(total, `seed ${seed}`).toBeLessThan(0);
    for (const [at, edge] of circle.entries()) {
      expect(lists.from[edge]).toBe(lists.to[circle.at(at - 1) ?? -1]);
    }
  }
  expect(Math.min(kept, circles)).toBeGreaterThan(50);
});

test("[edge-lists 1] an edge that is put aside is passed by", () => {
  const lists = createEdgeLists(2);
  addEdgeAside(lists, 0, 1, -5);
  linkEdge(lists, 1, 0, 3);
  expect(lowerSpans(lists, spansOfNothing(2), [0, 1])).toBeNull();
  linkEdge(lists, 0, 1, -5);
  expect(lowerSpans(lists, spansOfNothing(2), [0, 1])).not.toBeNull();
});
