import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import { addBoundMutable, liveTimes } from "../../../../machines/time/live-times.ts";
import { networkTimes } from "../../../../machines/time/simple-network.ts";
import type { Bound } from "../../../../machines/time/simple-network.ts";

test("[live-times 1] [live-times 3] bounds added one by one give what is computed anew", () => {
  let added = 0;
  let refused = 0;
  for (let seed = 1; seed <= 100; seed += 1) {
    const random = createSeededRandom(seed);
    const points = 2 + random.nextBelow(8);
    const kept: Bound[] = notBeforeOrigin(points);
    const { live } = liveTimes({ points, bounds: kept }, 0);
    if (live === null) throw new Error("waiting is easily kept");
    for (let count = 0; count < 3 * points; count += 1) {
      const from = random.nextBelow(points);
      const bound = { from, to: random.nextBelow(points), seconds: random.nextBelow(60) - 20 };
      const { impossible } = addBoundMutable(live, bound);
      const { times } = networkTimes({ points, bounds: [...kept, bound] }, 0);
      expect(impossible, `seed ${seed}`).toBe(times === null);
      if (times === null) refused += 1;
      else {
        added += 1;
        kept.push(bound);
      }
      const anew = networkTimes({ points, bounds: kept }, 0).times;
      expect(live.earliestSeconds, `seed ${seed}`).toEqual(anew?.earliestSeconds);
      expect(live.latestSeconds, `seed ${seed}`).toEqual(anew?.latestSeconds);
    }
  }
  expect(added).toBeGreaterThan(400);
  expect(refused).toBeGreaterThan(100);
});

test("[live-times 2] only points whose time moves are named", () => {
  for (let seed = 1; seed <= 100; seed += 1) {
    const random = createSeededRandom(seed);
    const points = 3 + random.nextBelow(8);
    const { live } = liveTimes({ points, bounds: notBeforeOrigin(points) }, 0);
    if (live === null) throw new Error("waiting is easily kept");
    for (let count = 0; count < 2 * points; count += 1) {
      const [earliest, latest] = [live.earliestSeconds.slice(), live.latestSeconds.slice()];
      const from = random.nextBelow(points);
      const bound = { from, to: random.nextBelow(points), seconds: random.nextBelow(60) - 20 };
      const { changed } = addBoundMutable(live, bound);
      const moved = Array.from({ length: points }, (_, point) => point).filter(
        (point) =>
          live.earliestSeconds[point] !== earliest[point] ||
          live.latestSeconds[point] !== latest[point],
      );
      expect(
        changed.toSorted((a, b) => a - b),
        `seed ${seed}`,
      ).toEqual(moved);
    }
  }
});

function notBeforeOrigin(points: number): Bound[] {
  return Array.from({ length: points - 1 }, (_, at) => ({ from: at + 1, to: 0, seconds: 0 }));
}
