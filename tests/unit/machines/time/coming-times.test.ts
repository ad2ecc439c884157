// Coming times of the small procedure for tests: every step takes 60, 90 or 180 s.

import { expect, test } from "vitest";
import type { StepId } from "../../../../machines/procedure/ids.ts";
import { comingTimes } from "../../../../machines/time/coming-times.ts";
import { plannedTimes } from "../../../../machines/time/planned-times.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { tappedRun } from "../../../support/tapped-run.ts";
import type { TappedRun } from "../../../support/tapped-run.ts";

function times(run: TappedRun, id: string) {
  const coming = comingTimes(run.index, run.state(), run.nowMs());
  const of = (table: typeof coming.early) => table.byStep.get(id as StepId);
  return { early: of(coming.early), likely: of(coming.likely), late: of(coming.late) };
}

function step(run: TappedRun, kind: "step.started" | "step.done", id: string): void {
  const lane = id.split("-")[0] ?? "";
  run.tap("desk", { kind, step: id as StepId }, lane);
}

test("[coming 1] before anything happens the likely side is the plan, the others bound it", () => {
  const run = tappedRun(aProcedure(), false);
  const coming = comingTimes(run.index, run.state(), run.nowMs());
  expect([...coming.likely.byStep]).toEqual([...plannedTimes(run.index).byStep]);
  // By hand, as in planned-times.test.ts: six steps follow one another on the longest way.
  expect(coming.early.endSeconds).toBe(6 * 60);
  expect(coming.late.endSeconds).toBe(6 * 180);
});

test("[coming 2] [earliest 5] what has happened stays; what is being worked has used its time", () => {
  const run = tappedRun(aProcedure());
  step(run, "step.started", "ev1-to-rack"); // 1 s after the start
  run.wait(99);
  step(run, "step.done", "ev1-to-rack"); // at 101 s
  expect(times(run, "ev1-to-rack").late).toEqual({ startSeconds: 1, endSeconds: 101 });
  step(run, "step.started", "ev2-to-rack"); // at 102 s
  run.wait(9); // now: 112 s
  expect(times(run, "ev2-to-rack").early).toEqual({ startSeconds: 102, endSeconds: 162 });
  expect(times(run, "ev2-to-rack").late).toEqual({ startSeconds: 102, endSeconds: 282 });
  // Not begun yet, so not before now.
  expect(times(run, "ev1-swap-tether").early?.startSeconds).toBe(112);
});

test("[coming 2] a step that is over its most ends now at the earliest", () => {
  const run = tappedRun(aProcedure());
  step(run, "step.started", "ev1-to-rack");
  run.wait(999); // now: 1001 s
  expect(times(run, "ev1-to-rack").late).toEqual({ startSeconds: 1, endSeconds: 1001 });
});

test("[coming 3] a step that is deferred is not waited for", () => {
  const run = tappedRun(aProcedure());
  run.tap("desk", { kind: "step.deferred", step: "ev1-torque" as StepId, reason: "late" }, "ev1");
  expect(times(run, "ev1-torque").likely).toBeUndefined();
  const coming = comingTimes(run.index, run.state(), run.nowMs());
  // The seal waited for the torque; now it follows the meet: rack, tether, meet, then the seal.
  expect(coming.late.byStep.get("ev2-seal" as StepId)?.startSeconds).toBe(2 + 3 * 180);
});

test("[coming 4] time on hold is apart from the time that a step takes", () => {
  const run = tappedRun(aProcedure());
  step(run, "step.started", "ev1-to-rack"); // at 1 s
  run.tap("desk", {
    kind: "hold.raised",
    scope: { covers: "everyone" },
    reason: "wait",
    inject: null,
  }); // at 2 s
  run.wait(50);
  const hold = Object.keys(run.state().holds)[0] as never;
  run.tap("desk", { kind: "hold.released", hold }); // at 53 s
  expect(times(run, "ev1-to-rack").likely).toEqual({
    startSeconds: 1,
    endSeconds: 1 + 90 + 50 + 1,
  });
});
