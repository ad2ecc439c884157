// Planned times against times worked out by hand on paper, from the small procedure for tests.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { PositionId, StepId, TaskId } from "../../../../machines/procedure/ids.ts";
import type { Procedure, TimeWindow } from "../../../../machines/procedure/procedure.ts";
import { plannedTimes } from "../../../../machines/time/planned-times.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aStep } from "../../../support/procedure-parts.ts";

// Every step of the small procedure takes 90 s. By hand:
//   IV    power off 0..90
//   EV1   to rack 0..90, tether 90..180, meet 180..270 (EV2 has been there since 90),
//         torque 270..360, tether back 360..450, home 450..540
//   EV2   to rack 0..90, meet 180..270, seal 360..450 (after the torque), home 450..540
const byHand: Readonly<Record<string, readonly [number, number]>> = {
  "iv-power-off": [0, 90],
  "ev1-to-rack": [0, 90],
  "ev1-swap-tether": [90, 180],
  "ev2-to-rack": [0, 90],
  "ev1-meet": [180, 270],
  "ev2-meet": [180, 270],
  "ev1-torque": [270, 360],
  "ev2-seal": [360, 450],
  "ev1-swap-back": [360, 450],
  "ev1-home": [450, 540],
  "ev2-home": [450, 540],
};

test("[earliest 1] the small procedure's times are those worked out by hand", () => {
  check(aProcedure(), byHand, 540);
});

test("[earliest 3] a meet waits for what its steps come after, too", () => {
  const steps = aProcedure().steps.map((step) =>
    step.id === "ev2-meet" ? { ...step, after: ["iv-power-off" as StepId] } : step,
  );
  const slowPowerOff = steps.map((step) =>
    step.id === "iv-power-off"
      ? { ...step, duration: { minSeconds: 0, likelySeconds: 400, maxSeconds: 400 } }
      : step,
  );
  const times = plannedTimes(indexProcedure(aProcedure({ steps: slowPowerOff })));
  expect(times.byStep.get("ev1-meet" as StepId)?.startSeconds).toBe(400);
  expect(times.byStep.get("ev2-meet" as StepId)?.startSeconds).toBe(400);
});

test("[earliest 2] a contingency task has times once it is in play, and shifts what follows", () => {
  const index = indexProcedure(aProcedure());
  expect(plannedTimes(index).byStep.has("ev1-back-off" as StepId)).toBe(false);
  const times = plannedTimes(index, new Set(["stuck-bolt" as TaskId]));
  expect(times.byStep.get("ev1-back-off" as StepId)).toEqual({
    startSeconds: 360,
    endSeconds: 450,
  });
  expect(times.byStep.get("ev1-swap-back" as StepId)?.startSeconds).toBe(450);
  expect(times.endSeconds).toBe(630);
});

function openDuring(fromSeconds: number, toSeconds: number): readonly TimeWindow[] {
  const spans = [{ fromSeconds, toSeconds }];
  return aProcedure().windows.map((window) => ({ ...window, spans }));
}

test("[earliest 4] a step waits for the next span of its window; without one it is named", () => {
  const later = plannedTimes(indexProcedure(aProcedure({ windows: openDuring(600, 700) })));
  expect(later.byStep.get("ev1-torque" as StepId)).toEqual({ startSeconds: 600, endSeconds: 690 });
  expect(later.withoutWindow).toEqual([]);
  const gone = plannedTimes(indexProcedure(aProcedure({ windows: openDuring(0, 270) })));
  expect(gone.byStep.get("ev1-torque" as StepId)?.startSeconds).toBe(270);
  expect(gone.withoutWindow).toEqual(["ev1-torque"]);
});

test("[earliest 6] steps that wait for each other are reported; the others keep their times", () => {
  const ev2 = "ev2" as PositionId;
  const steps = [
    aStep("a"),
    aStep("b", { after: ["d" as StepId] }),
    aStep("c", { lane: ev2, after: ["b" as StepId] }),
    aStep("d", { lane: ev2 }),
  ];
  const times = plannedTimes(indexProcedure(aProcedure({ steps, clocks: [] })));
  expect([...times.circle].sort()).toEqual(["b", "c", "d"]);
  expect([...times.byStep.keys()]).toEqual(["a"]);
});

function check(
  procedure: Procedure,
  expected: Readonly<Record<string, readonly [number, number]>>,
  endSeconds: number,
) {
  const times = plannedTimes(indexProcedure(procedure));
  const got = Object.fromEntries(
    [...times.byStep].map(([id, { startSeconds, endSeconds: end }]) => [id, [startSeconds, end]]),
  );
  expect(got).toEqual(expected);
  expect(times.endSeconds).toBe(endSeconds);
  expect(times.circle).toEqual([]);
}
