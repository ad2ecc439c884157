import { expect, test } from "vitest";
import type {
  CheckId,
  GateId,
  PositionId,
  ReadingId,
  StepId,
} from "../../../../machines/procedure/ids.ts";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import { pairView } from "../../../../machines/views/pair-view.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { tappedRun } from "../../../support/tapped-run.ts";
import type { TappedRun } from "../../../support/tapped-run.ts";

const readerTablet = {
  device: "reader" as DeviceId,
  role: "reader",
  lane: "iv" as PositionId,
} as const;

function view(run: TappedRun) {
  return pairView(run.index, run.state(), readerTablet, run.nowMs());
}

function aReadersRun(): TappedRun {
  const run = tappedRun(aProcedure());
  run.join("reader", "reader", "iv");
  return run;
}

test("[pair-view 1] suited lanes are rails, the inside lane is one line", () => {
  const seen = view(aReadersRun());
  expect(seen.rails.map((rail) => rail.lane)).toEqual(["ev1", "ev2"]);
  expect(seen.otherLanes.map((other) => other.lane)).toEqual(["iv"]);
});

test("[pair-view 2] what a lane waits for from the reader stands in the list of what is owed", () => {
  const run = aReadersRun();
  const torque = "ev1-torque" as StepId;
  for (const id of ["ev1-to-rack", "ev1-swap-tether", "ev1-meet"]) {
    run.tap("desk", { kind: "step.started", step: id as StepId }, "ev1");
    run.tap("desk", { kind: "step.done", step: id as StepId }, "ev1");
  }
  expect(view(run).owed.map((one) => one.what)).toEqual(["go"]);
  const gate = "warning-1" as GateId;
  run.tap("desk", { kind: "gate.acknowledged", step: torque, gate }, "ev1");
  expect(view(run).owed.map((one) => [one.what, one.lane, one.as])).toEqual([
    ["readback", "ev1", "iv"],
    ["go", "ev1", "iv"],
  ]);
  run.tap("reader", { kind: "gate.readback-confirmed", step: torque, gate }, "iv");
  run.tap("reader", { kind: "gate.go-given", step: torque, gate: "go" as GateId }, "iv");
  expect(view(run).owed).toEqual([]);
});

test("a meet shows how many steps each lane is away, and goes when both have passed", () => {
  const run = aReadersRun();
  const away = () => view(run).meets[0]?.lanes.map((one) => [one.lane, one.stepsAway, one.passed]);
  expect(away()).toEqual([
    ["ev1", 2, false],
    ["ev2", 1, false],
  ]);
  for (const [id, lane] of [
    ["ev2-to-rack", "ev2"],
    ["ev2-meet", "ev2"],
  ] as const) {
    run.tap("desk", { kind: "step.done", step: id as StepId }, lane);
  }
  expect(away()?.[1]).toEqual(["ev2", 0, true]);
  run.tap("desk", { kind: "step.done", step: "ev1-meet" as StepId }, "ev1");
  expect(view(run).meets).toEqual([]);
});

test("[checks-due 1] a check is due one interval after the start, then after it was recorded", () => {
  const run = aReadersRun();
  const due = () =>
    view(run).checks.map((one) => [one.position, Math.round(one.dueInSeconds / 60)]);
  expect(due()).toEqual([
    ["ev1", 20],
    ["ev2", 20],
  ]);
  run.wait(25 * 60);
  expect(due()).toEqual([
    ["ev1", -5],
    ["ev2", -5],
  ]);
  const readings = { ["suit-pressure" as ReadingId]: 29 };
  run.tap("reader", { kind: "check.recorded", check: "suit-check" as CheckId, readings }, "ev1");
  expect(due()).toEqual([
    ["ev2", -5],
    ["ev1", 20],
  ]);
});

test("[checks-due 2] before the start no check is due", () => {
  expect(view(tappedRun(aProcedure(), false)).checks).toEqual([]);
});

test("the log holds the last ten minutes, the latest first, without what clocks say", () => {
  const run = aReadersRun();
  run.tap("desk", { kind: "step.started", step: "ev1-to-rack" as StepId }, "ev1");
  run.wait(9 * 60);
  run.tap("reader", { kind: "clock.sampled", offsetMs: 3, roundTripMs: 9 });
  run.tap("reader", { kind: "note.added", text: "Calm", step: null, oddity: false }, "iv");
  expect(view(run).log.map((row) => row.says)).toEqual([
    "Note",
    "Step started · EV1 step 1",
    "Device joined",
    "Run started",
    "Run opened",
  ]);
  run.wait(5 * 60);
  expect(view(run).log.map((row) => row.says)).toEqual(["Note"]);
});
