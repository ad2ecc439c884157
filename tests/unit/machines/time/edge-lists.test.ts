import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import {
  addEdgeAside,
  createEdgeLists,
  linkEdge,
  lowerSpans,
  orderPoints,
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

test("[edge-lists 2] each point has its place before those that wait for it", () => {
  for (let seed = 1; seed <= 100; seed += 1) {
    const random = createSeededRandom(seed);
    const points = 2 + random.nextBelow(12);
    const lists = createEdgeLists(points);
    for (let count = 0; count < 2 * points; count += 1) {
      const early = random.nextBelow(points - 1);
      const late = early + 1 + random.nextBelow(points - 1 - early);
      // Numbers are turned so that the order is not that of the numbers.
      linkEdge(lists, points - 1 - late, points - 1 - early, -random.nextBelow(5));
      linkEdge(lists, random.nextBelow(points), random.nextBelow(points), 7);
    }
    const order = orderPoints(lists);
    expect(order.toSorted((a, b) => a - b)).toEqual(order.map((_, place) => place));
    for (const [edge, from] of lists.from.entries()) {
      if ((lists.seconds[edge] ?? 0) > 0) continue;
      const placeOfTo = order.indexOf(lists.to[edge] ?? -1);
      expect(placeOfTo, `seed ${seed}`).toBeLessThan(order.indexOf(from));
    }
  }
});

test("[edge-lists 2] points that wait for each other have their places too", () => {
  const lists = createEdgeLists(3);
  linkEdge(lists, 0, 1, 0);
  linkEdge(lists, 1, 0, -1);
  linkEdge(lists, 1, 2, 0);
  expect(orderPoints(lists).toSorted((a, b) => a - b)).toEqual([0, 1, 2]);
});
