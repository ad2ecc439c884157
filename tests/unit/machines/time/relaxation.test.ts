import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import { checkControllability } from "../../../../machines/time/controllability.ts";
import { findRelaxations, relaxNetwork } from "../../../../machines/time/relaxation.ts";
import type { Relaxable, Relaxation } from "../../../../machines/time/relaxation.ts";
import type { UncertainCircle } from "../../../../machines/time/circle-of-edges.ts";
import type { UncertainNetwork } from "../../../../machines/time/uncertain-network.ts";
import { aPlannedNetwork, anUncertainNetwork } from "../../../support/an-uncertain-network.ts";

const any = () => true;
const onlySpans = ({ sort }: Relaxable) => sort !== "bound";
const onlyMost = ({ sort }: Relaxable) => sort === "most";
const seeds = 200;

test("[relaxation 1] [relaxation 2] a single change mends, and nothing smaller does", () => {
  let offered = 0;
  checkBroken((network, circle, seed) => {
    const found = findRelaxations(network, circle, any).singles;
    for (const relaxation of found) {
      offered += 1;
      expect(mends(network, [relaxation]), seed).toBe(true);
      const less = { ...relaxation, bySeconds: relaxation.bySeconds - 0.02 };
      expect(
        less.bySeconds <= 0 || !mends(network, [less]),
        `${seed} ${relaxation.what.sort}`,
      ).toBe(true);
    }
    const order = found.map(({ bySeconds }) => bySeconds);
    expect(order).toEqual(order.toSorted((a, b) => a - b));
  });
  expect(offered).toBeGreaterThan(100);
});

test("[relaxation 2] of a hundred changes not offered, not one mends, however large it be", () => {
  let missed = 0;
  let tried = 0;
  checkBroken((network, circle) => {
    const offered = findRelaxations(network, circle, any).singles.map(({ what }) => keyOf(what));
    for (const what of everyRelaxable(network)) {
      if (offered.includes(keyOf(what))) continue;
      tried += 1;
      const { leastSeconds = 0, mostSeconds = 0 } = network.contingents[what.place] ?? {};
      const bySeconds = what.sort === "bound" ? 1000 : mostSeconds - leastSeconds;
      if (mends(network, [{ what, bySeconds }])) missed += 1;
    }
  });
  expect(tried).toBeGreaterThan(500);
  expect(missed).toBeLessThan(tried / 100);
});

test("[relaxation 1] [relaxation 3] changes together mend, and cost less than a single one", () => {
  let cheaper = 0;
  checkBroken((network, circle, seed) => {
    const { singles, together } = findRelaxations(network, circle, any);
    if (together === null) return;
    cheaper += 1;
    expect(mends(network, together), seed).toBe(true);
    const total = together.reduce((sum, { bySeconds }) => sum + bySeconds, 0);
    expect(total, seed).toBeLessThan(singles[0]?.bySeconds ?? Infinity);
  });
  expect(cheaper).toBeGreaterThan(5);
});

test("[relaxation 3] two circles that share nothing are mended by what each is short", () => {
  const network = { points: 4, bounds: [...pair(0, 1, 3), ...pair(2, 3, 4)], contingents: [] };
  const verdict = checkControllability(network, "stopping");
  if (verdict.controllable) throw new Error("nobody can keep this");
  const { singles, together } = findRelaxations(network, verdict.circle, any);
  expect(singles).toEqual([]);
  expect(together?.map(({ bySeconds }) => bySeconds).toSorted()).toEqual([3, 4]);
});

test("[relaxation 4] a span's least stays at or below its most", () => {
  checkBroken((network, circle) => {
    const { singles, together } = findRelaxations(network, circle, onlySpans);
    for (const changes of [...singles.map((single) => [single]), together ?? []]) {
      for (const { leastSeconds, mostSeconds } of relaxNetwork(network, changes).contingents) {
        expect(leastSeconds).toBeLessThanOrEqual(mostSeconds);
      }
    }
  });
});

test("[relaxation 1] what may not be changed is not offered", () => {
  checkBroken((network, circle) => {
    const { singles, together } = findRelaxations(network, circle, onlyMost);
    expect([...singles, ...(together ?? [])].every(({ what }) => what.sort === "most")).toBe(true);
  });
});

function checkBroken(
  check: (network: UncertainNetwork, circle: UncertainCircle, seed: string) => void,
): void {
  let broken = 0;
  for (let seed = 1; seed <= seeds; seed += 1) {
    const random = createSeededRandom(seed);
    const wishes = { points: 7, contingents: 3, bounds: 10, secondsMax: 9, roomMax: 16 };
    const network = (seed % 3 === 0 ? anUncertainNetwork : aPlannedNetwork)(random, wishes);
    const verdict = checkControllability(network, "stopping");
    if (verdict.controllable) continue;
    broken += 1;
    check(network, verdict.circle, `seed ${seed}`);
  }
  expect(broken).toBeGreaterThan(seeds / 5);
}

function pair(from: number, to: number, short: number) {
  return [
    { from, to, seconds: 10 },
    { from: to, to: from, seconds: -10 - short },
  ];
}

function mends(network: UncertainNetwork, relaxations: readonly Relaxation[]): boolean {
  return checkControllability(relaxNetwork(network, relaxations)).controllable;
}

function everyRelaxable({ bounds, contingents }: UncertainNetwork): Relaxable[] {
  return [
    ...bounds.map((_, place) => ({ sort: "bound" as const, place })),
    ...contingents.map((_, place) => ({ sort: "least" as const, place })),
    ...contingents.map((_, place) => ({ sort: "most" as const, place })),
  ];
}

function keyOf({ sort, place }: Relaxable): string {
  return `${sort} ${place}`;
}
