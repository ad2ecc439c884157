import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import type { UncertainCircle } from "../../../../machines/time/circle-of-edges.ts";
import { checkControllability } from "../../../../machines/time/controllability.ts";
import type { UncertainNetwork } from "../../../../machines/time/uncertain-network.ts";
import { aPlannedNetwork, anUncertainNetwork } from "../../../support/an-uncertain-network.ts";

test("[circle 1] a circle is below nothing and the sum of what it counts", () => {
  checkCircles(({ bounds, contingents }, circle, seed) => {
    const sum =
      sumOf(circle.timesByBound, (at) => bounds[at]?.seconds) +
      sumOf(circle.leastsByContingent, (at) => contingents[at]?.leastSeconds) +
      sumOf(circle.mostsByContingent, (at) => contingents[at]?.mostSeconds);
    expect(circle.seconds, seed).toBeLessThan(0);
    expect(circle.seconds, seed).toBe(sum);
  });
});

test("[circle 2] legs follow each other around, and sum up to the circle", () => {
  checkCircles((_, { legs, isCut, seconds }, seed) => {
    expect(isCut, seed).toBe(false);
    for (const [at, leg] of legs.entries()) expect(leg.from, seed).toBe(legs.at(at - 1)?.to);
    expect(
      legs.reduce((sum, leg) => sum + leg.seconds, 0),
      seed,
    ).toBe(seconds);
  });
});

function sumOf(times: ReadonlyMap<number, number>, secondsOf: (at: number) => number | undefined) {
  return [...times].reduce((sum, [at, count]) => sum + count * (secondsOf(at) ?? NaN), 0);
}

function checkCircles(
  check: (network: UncertainNetwork, circle: UncertainCircle, seed: string) => void,
): void {
  let circles = 0;
  for (let seed = 1; seed <= 600; seed += 1) {
    const random = createSeededRandom(seed);
    const wishes = { points: 8, contingents: 3, bounds: 14, secondsMax: 9, roomMax: 14 };
    const make = seed % 2 === 0 ? anUncertainNetwork : aPlannedNetwork;
    const network = make(random, wishes);
    for (const way of ["stopping", "passing"] as const) {
      const verdict = checkControllability(network, way);
      if (verdict.controllable) continue;
      circles += 1;
      check(network, verdict.circle, `seed ${seed}, ${way}`);
    }
  }
  expect(circles).toBeGreaterThan(200);
}
