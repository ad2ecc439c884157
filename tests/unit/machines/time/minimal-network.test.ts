import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../../../machines/base/seeded-random.ts";
import { addBoundMutable, minimalNetwork } from "../../../../machines/time/minimal-network.ts";
import type { MinimalNetwork } from "../../../../machines/time/minimal-network.ts";
import type { Bound } from "../../../../machines/time/simple-network.ts";

test("[minimal 1] each span is reached in some choice of times, and none goes beyond", () => {
  for (let seed = 1; seed <= 60; seed += 1) {
    const { points, bounds } = aNetwork(createSeededRandom(seed));
    const { minimal } = minimalNetwork({ points, bounds });
    for (const [place, span] of minimal?.spans.entries() ?? []) {
      if (!Number.isFinite(span)) continue;
      const [from, to] = [Math.floor(place / points), place % points];
      const isForbidden = (seconds: number) =>
        minimalNetwork({ points, bounds: [...bounds, { from: to, to: from, seconds: -seconds }] })
          .circle !== null;
      expect(isForbidden(span), `seed ${seed}`).toBe(false);
      expect(isForbidden(span + 1), `seed ${seed}`).toBe(true);
    }
  }
});

test("[minimal 2] [minimal 3] [minimal 4] bounds added one by one give what is computed anew", () => {
  let added = 0;
  let refused = 0;
  for (let seed = 1; seed <= 200; seed += 1) {
    const { points, bounds } = aNetwork(createSeededRandom(seed));
    const kept: Bound[] = [];
    const { minimal } = minimalNetwork({ points, bounds: [] });
    if (minimal === null) throw new Error("nothing is easily kept");
    for (const bound of bounds) {
      const before = { points, spans: minimal.spans.slice() };
      const { changedPairs, shortSeconds } = addBoundMutable(minimal, bound);
      const anew = minimalNetwork({ points, bounds: [...kept, bound] });
      expect(shortSeconds > 0, `seed ${seed}`).toBe(anew.circle !== null);
      expect(countChanged(before, minimal), `seed ${seed}`).toBe(changedPairs);
      if (anew.minimal === null) {
        refused += 1;
        continue;
      }
      added += 1;
      kept.push(bound);
      expect(minimal.spans, `seed ${seed}`).toEqual(anew.minimal.spans);
    }
  }
  expect(added).toBeGreaterThan(500);
  expect(refused).toBeGreaterThan(50);
});

function countChanged(before: MinimalNetwork, after: MinimalNetwork): number {
  return before.spans.filter((span, place) => span !== after.spans[place]).length;
}

function aNetwork(random: SeededRandom) {
  const points = 2 + random.nextBelow(7);
  const count = random.nextBelow(3 * points) + 1;
  const bounds = Array.from({ length: count }, () => ({
    from: random.nextBelow(points),
    to: random.nextBelow(points),
    seconds: random.nextBelow(60) - 15,
  })).filter(({ from, to, seconds }) => from !== to || seconds < 0);
  return { points, bounds };
}
