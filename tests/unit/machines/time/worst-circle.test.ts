import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import type { Step } from "../../../../machines/procedure/step.ts";
import { networkOfProcedure } from "../../../../machines/time/procedure-network.ts";
import type { ProcedureNetwork } from "../../../../machines/time/procedure-network.ts";
import { findCircle } from "../../../../machines/time/simple-network.ts";
import { tellCircle } from "../../../../machines/time/tell-circle.ts";
import { findWorstCircle } from "../../../../machines/time/worst-circle.ts";
import { aClock, aTimedPlan, ev2, timed } from "./a-timed-plan.ts";

test("[worst 1] it is found exactly if one at-most cannot be kept with every step at its most", () => {
  const counts = { found: 0, none: 0 };
  for (let seed = 1; seed <= 300; seed += 1) {
    const random = createSeededRandom(seed);
    const steps = ["a", "b", "c", "d"].map((id): Step => {
      const most = random.nextBelow(9);
      return timed(id, [0, 0, most], random.nextBelow(2) === 0 ? {} : ev2);
    });
    const atLeast = random.nextBelow(20) - 10;
    const clocks = [
      aClock("one", "a done", "c start", { atLeast, atMost: atLeast + random.nextBelow(15) }),
      aClock("two", "b start", "d done", { atMost: random.nextBelow(25) }),
    ];
    const told = networkAt(steps, clocks, 5 + random.nextBelow(30));
    const worst = findWorstCircle(told);
    expect(worst === null, `seed ${seed}`).toBe(!oneCannotBeKept(told));
    counts[worst === null ? "none" : "found"] += 1;
  }
  expect(Math.min(counts.found, counts.none)).toBeGreaterThan(50);
});

test("[worst 2] it is the longest chain against its one at-most", () => {
  const steps = [timed("a", [1, 1, 100]), timed("b", [1, 1, 50], ev2), timed("c", [1, 1, 70])];
  const worst = findWorstCircle(networkAt(steps, [], 40));
  expect(worst?.seconds).toBe(40 - 170);
  expect(worst?.timesByBound.size).toBe(4);
});

test("[tell 1] the legs of a witness go around and sum up to what is missing", () => {
  const steps = [timed("a", [1, 1, 100]), timed("b", [1, 1, 50], ev2), timed("c", [1, 1, 70])];
  const told = networkAt(steps, [aClock("k", "a start", "c done", { atMost: 90 })], 900);
  const worst = findWorstCircle(told);
  if (worst === null) throw new Error("the clock cannot be kept");
  const { witness, missingSeconds, clocks, steps: named } = tellCircle(told, worst);
  expect(witness.reduce((sum, { seconds }) => sum + seconds, 0)).toBe(-missingSeconds);
  for (const [at, leg] of witness.entries()) expect(leg.from).toEqual(witness.at(at - 1)?.to);
  expect(clocks).toEqual(["k"]);
  expect(named.toSorted()).toEqual(["a", "c"]);
});

test("[tell 2] only numbers that the procedure states are offered to be changed", () => {
  const steps = [timed("a", [1, 1, 100]), timed("c", [1, 1, 70])];
  const told = networkAt(steps, [aClock("k", "a start", "c done", { atMost: 90 })], 120);
  const worst = findWorstCircle(told);
  if (worst === null) throw new Error("the clock cannot be kept");
  const { mends, mendsTogether } = tellCircle(told, worst);
  const sorts = [...mends, ...mendsTogether].map(({ what }) => what.sort);
  expect(sorts.length).toBeGreaterThan(0);
  for (const sort of sorts) expect(["clock-at-most", "run-limit", "duration-most"]).toContain(sort);
});

// One at-most after the other, with all that is none.
function oneCannotBeKept({ network, reasons }: ProcedureNetwork): boolean {
  const atMosts = ["clock-at-most", "run-limit", "window-closes"];
  const isAtMost = (place: number) => atMosts.includes(reasons[place]?.sort ?? "");
  const longest = network.contingents.map(({ activation, end, mostSeconds }) => ({
    from: end,
    to: activation,
    seconds: -mostSeconds,
  }));
  const firsts = [...network.bounds.filter((_, place) => !isAtMost(place)), ...longest];
  return network.bounds.some(
    (bound, place) =>
      isAtMost(place) &&
      findCircle({ points: network.points, bounds: [...firsts, bound] }) !== null,
  );
}

function networkAt(
  steps: readonly Step[],
  clocks: readonly ReturnType<typeof aClock>[],
  runSecondsMax: number,
): ProcedureNetwork {
  return networkOfProcedure(aTimedPlan(steps, { clocks }), {
    isInPlay: () => true,
    rangeOf: ({ duration }) => ({
      leastSeconds: duration.minSeconds,
      mostSeconds: duration.maxSeconds,
    }),
    spanOf: () => null,
    hasClock: () => true,
    runSecondsMax,
  });
}
