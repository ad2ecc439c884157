import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import {
  clearPoints,
  createPointQueue,
  popPoint,
  pushPoint,
} from "../../../../machines/time/point-queue.ts";

test("[point-queue 1] points come out in order of distance, all of them, each as often as put in", () => {
  for (let seed = 1; seed <= 100; seed += 1) {
    const random = createSeededRandom(seed);
    const queue = createPointQueue();
    const keys: number[] = [];
    for (let point = 0; point < 30; point += 1) {
      keys.push(random.nextBelow(20) - 10);
      pushPoint(queue, point, keys[point] ?? 0);
    }
    const out: number[] = [];
    for (let point = popPoint(queue); point >= 0; point = popPoint(queue)) out.push(point);
    expect(out.toSorted((a, b) => a - b)).toEqual(keys.map((_, point) => point));
    const outKeys = out.map((point) => keys[point] ?? 0);
    expect(outKeys, `seed ${seed}`).toEqual(keys.toSorted((a, b) => a - b));
  }
});

test("[point-queue 1] a point that was put in again nearer comes out nearer", () => {
  const queue = createPointQueue();
  pushPoint(queue, 1, 5);
  pushPoint(queue, 2, 3);
  pushPoint(queue, 1, 2);
  expect([popPoint(queue), popPoint(queue), popPoint(queue), popPoint(queue)]).toEqual([
    1, 2, 1, -1,
  ]);
  pushPoint(queue, 7, 1);
  clearPoints(queue);
  expect(popPoint(queue)).toBe(-1);
});
