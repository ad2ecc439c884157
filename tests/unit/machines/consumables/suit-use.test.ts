// Use of a suit over small plans, by hand and against sampling.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { checkConsumables } from "../../../../machines/consumables/check-consumables.ts";
import { gasRates } from "../../../../machines/consumables/gas-exchange.ts";
import { correctByReadings, suitUses } from "../../../../machines/consumables/suit-use.ts";
import { joulesUntil, peakOver } from "../../../../machines/consumables/work-rate.ts";
import type { WorkRate } from "../../../../machines/consumables/work-rate.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { StepSort } from "../../../../machines/procedure/step.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aDuration, aPosition, aStep, aSuit } from "../../../support/procedure-parts.ts";
import { demoNames, demoProcedure } from "../../workers/hub/demo/demo-documents.ts";

const wattsAtWork = 293;
const wattsWaiting = 150;

function working(id: string, lane: string, minutes: number, after: readonly string[]) {
  return aStep(id, {
    lane: lane as never,
    sort: "inspect" satisfies StepSort,
    duration: aDuration(minutes * 30, minutes * 60, minutes * 120),
    after: after as never,
  });
}

/** EV1 works an hour; EV2 starts after it and works half an hour. */
function aPlan(oxygenKilograms: number) {
  const suit = aSuit();
  const oxygen = { ...suit.oxygen, value: oxygenKilograms };
  return indexProcedure(
    aProcedure({
      positions: ["ev1", "ev2"].map((id) => aPosition(id, { suit: { ...suit, oxygen } })),
      steps: [working("a", "ev1", 60, []), working("b", "ev2", 30, ["a"])],
      meets: [],
      clocks: [],
    }),
  );
}

const oxygenOf = (joules: number) => gasRates(joules).oxygenKilogramsPerSecond;
const usedIn = (waitingSeconds: number, workingSeconds: number) =>
  oxygenOf(waitingSeconds * wattsWaiting + workingSeconds * wattsAtWork);
const reading = (atSeconds: number, left: number) =>
  ({ consumable: "oxygen", atSeconds, left: { value: left * 1000, unit: "g" } }) as const;

function gradesWith(kilograms: number): readonly string[] {
  return checkConsumables(aPlan(kilograms))
    .filter(({ where }) => where.positions[0] === ("ev1" as never))
    .map(({ kind, grade }) => `${kind} ${grade}`);
}

test("[suit-use 1], [work-rate 1] who waits for the other lane breathes meanwhile, at the rate of waiting", () => {
  const [ev1, ev2] = suitUses(aPlan(1));
  expect(ev1?.seconds).toEqual({ least: 1800, likely: 3600, most: 7200 });
  expect(ev2?.seconds).toEqual({ least: 2700, likely: 5400, most: 10800 });
  const oxygen = ev2?.uses.find(({ consumable }) => consumable === "oxygen");
  expect(oxygen?.used.least).toBeCloseTo(usedIn(1800, 900), 12);
  expect(oxygen?.used.likely).toBeCloseTo(usedIn(3600, 1800), 12);
  expect(oxygen?.used.most).toBeCloseTo(usedIn(7200, 3600), 12);
  expect(oxygen?.left.likely).toBeCloseTo(1 - usedIn(3600, 1800), 12);
  const battery = ev2?.uses.find(({ consumable }) => consumable === "battery");
  expect(battery?.used.likely).toBe(60 * 5400);
  expect(battery?.capacity).toBe(500 * 3600);
});

test("[suit-use 2] the limiting consumable is the one that would be gone first", () => {
  const [use] = suitUses(aPlan(0.1));
  expect(use?.limiting).toBe("oxygen");
  const endurances = use?.uses.map(({ enduranceSeconds }) => enduranceSeconds) ?? [];
  expect(use?.uses[0]?.enduranceSeconds).toBe(Math.min(...endurances));
  expect(use?.uses[0]?.enduranceSeconds).toBeCloseTo(0.1 / oxygenOf(wattsAtWork), 6);
  expect(suitUses(aPlan(100))[0]?.limiting).not.toBe("oxygen");
});

test("[suit-use 3] a reading of half as much again makes the rest half as much again", () => {
  const index = aPlan(1);
  const used = oxygenOf(1800 * wattsAtWork) * 1.5;
  const readings = [reading(1800, 1 - used), reading(600, 0.5)];
  const [corrected] = correctByReadings(index, "ev1" as never, readings);
  expect(corrected?.factor).toBeCloseTo(1.5, 9);
  expect(corrected?.leftAtHatch).toBeCloseTo(1 - 1.5 * oxygenOf(3600 * wattsAtWork), 9);
  expect(correctByReadings(index, "ev1" as never, [reading(0, 1)])).toEqual([]);
});

test("[work-rate 2] no stretch of the window's length has a greater mean than the peak", () => {
  const stretches = fc.array(
    fc.record({ seconds: fc.integer({ min: 1, max: 2000 }), watts: fc.nat(600) }),
    { minLength: 1, maxLength: 12 },
  );
  fc.assert(
    fc.property(stretches, fc.integer({ min: 1, max: 4000 }), (drawn, window) => {
      let at = 0;
      const rate: WorkRate = drawn.map(({ seconds, watts }) => {
        const fromSeconds = at;
        at += seconds;
        return { fromSeconds, toSeconds: at, watts };
      });
      const peak = peakOver(rate, window);
      const length = Math.min(window, at);
      const mean = (from: number) =>
        (joulesUntil(rate, from + length) - joulesUntil(rate, from)) / length;
      expect(peak.watts).toBeCloseTo(mean(peak.fromSeconds), 6);
      for (let from = 0; from + length <= at; from += Math.max(1, Math.floor(at / 200))) {
        expect(mean(from)).toBeLessThanOrEqual(peak.watts + 1e-6);
      }
    }),
    { numRuns: 200 },
  );
});

test("[check-consumables 1] too little for the likely plan is a fault, for the longest a doubt", () => {
  const [likely, most] = [3600, 7200].map((seconds) => oxygenOf(seconds * wattsAtWork));
  const reserve = oxygenOf(600 * wattsAtWork);
  expect(gradesWith((likely ?? 0) * 0.99)).toEqual(["consumable-short fault"]);
  expect(gradesWith((likely ?? 0) * 1.01)).toEqual(["consumable-short doubt"]);
  expect(gradesWith((most ?? 0) + reserve * 0.99)).toEqual(["consumable-short doubt"]);
  expect(gradesWith((most ?? 0) + reserve * 1.01)).toEqual([]);
});

test("[check-consumables 2] a peak above the limit is a doubt that names the limit's source", () => {
  const limit = { value: 200, source: "for this test.", verified: false };
  const [found] = checkConsumables(aPlan(1), [{ windowSeconds: 900, watts: limit }]);
  expect([found?.kind, found?.grade]).toEqual(["metabolic-peak", "doubt"]);
  expect(found?.says).toContain("293 W on average over 15 min");
  expect(found?.says).toContain("for this test.");
});

test.each(demoNames)("[check-consumables 1] the suits of %s last", (name) => {
  const found = checkConsumables(indexProcedure(demoProcedure(name)));
  expect(found.filter(({ grade }) => grade === "fault")).toEqual([]);
});
