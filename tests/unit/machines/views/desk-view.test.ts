import { expect, test } from "vitest";
import type { StepId } from "../../../../machines/procedure/ids.ts";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import { plannedTimes } from "../../../../machines/time/planned-times.ts";
import { deskView } from "../../../../machines/views/desk-view.ts";
import { followView } from "../../../../machines/views/follow-view.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { tappedRun } from "../../../support/tapped-run.ts";
import type { TappedRun } from "../../../support/tapped-run.ts";

const heardMs = 1_700_000_500_000;

function ground(run: TappedRun) {
  return {
    index: run.index,
    state: run.state(),
    planned: plannedTimes(run.index),
    nowMs: run.nowMs(),
    thisDevice: "desk" as DeviceId,
    lastHeardMs: { ["tablet-1" as DeviceId]: heardMs },
  };
}

function desk(run: TappedRun) {
  return deskView(ground(run));
}

test("[desk 1] the acts are those of the phase", () => {
  const run = tappedRun(aProcedure(), false);
  expect(desk(run).acts).toEqual(["start", "start-closing"]);
  run.tap("desk", { kind: "run.started" });
  expect(desk(run).acts).toEqual(["start-closing", "terminate", "abort"]);
  run.tap("desk", { kind: "run.terminated", reason: "late" });
  expect(desk(run).acts).toEqual(["start-closing", "abort"]);
  run.tap("desk", { kind: "run.closing-started" });
  expect(desk(run).acts).toEqual(["close"]);
  run.tap("desk", { kind: "run.closed" });
  expect(desk(run).acts).toEqual([]);
});

test("[desk 2] a position without a device in the run is named; one struck off counts no more", () => {
  const run = tappedRun(aProcedure());
  run.join("tablet-1", "crew", "ev1");
  run.join("tablet-2", "crew", "ev2");
  const struckOff = "tablet-2" as DeviceId;
  run.tap("desk", { kind: "device.struck-off", struckOff, reason: "lost" });
  expect(desk(run).emptyPositions.map((position) => position.id)).toEqual(["ev2", "iv"]);
  const [, first, last] = desk(run).devices;
  expect(first).toMatchObject({ name: "tablet-1 tablet", role: "Crew, EV1", lastWordMs: heardMs });
  expect(last).toMatchObject({ name: "tablet-2 tablet", isStruckOff: true, lastWordMs: null });
});

test("[desk 3] the estimate is a range about the likely end, beside the plan", () => {
  const run = tappedRun(aProcedure());
  run.wait(119); // Two minutes after the start nobody has begun.
  expect(desk(run).end).toEqual({
    plannedSeconds: 540,
    expected: { fromSeconds: 120 + 6 * 60, toSeconds: 120 + 6 * 180 },
    likelySeconds: 120 + 540,
    behindSeconds: 120,
    maxSeconds: 3600,
  });
});

test("[lane-glance 1] time worked and time held are apart", () => {
  const run = tappedRun(aProcedure());
  run.tap("desk", { kind: "step.started", step: "ev1-to-rack" as StepId }, "ev1"); // at 1 s
  run.wait(9);
  run.tap("desk", {
    kind: "hold.raised",
    scope: { covers: "everyone" },
    reason: "wait",
    inject: null,
  }); // at 11 s
  run.wait(49); // now: 61 s
  const [ev1] = desk(run).lanes;
  expect(ev1).toMatchObject({ isHeld: true, finishedCount: 0, inPlayCount: 6 });
  expect(ev1?.current).toMatchObject({ workedSeconds: 10, heldSeconds: 50 });
});

test("[lane-glance 2] what comes has a range; the lane's lag is against the plan", () => {
  const run = tappedRun(aProcedure());
  run.wait(59);
  const [ev1] = desk(run).lanes;
  expect(ev1?.current?.starts).toEqual({ fromSeconds: 60, toSeconds: 60 });
  expect(ev1?.next?.starts).toEqual({ fromSeconds: 120, toSeconds: 240 });
  expect(ev1?.lagSeconds).toBe(60);
});

test("requests for a hold stay on the desk until a hold is raised", () => {
  const run = tappedRun(aProcedure());
  run.join("tablet-1", "crew", "ev1");
  run.tap("tablet-1", { kind: "hold.requested", reason: "Not ready" }, "ev1");
  expect(desk(run).requests).toEqual([
    expect.objectContaining({ from: "EV1 (tablet-1 tablet)", reason: "Not ready", lane: "ev1" }),
  ]);
  const scope = { covers: "lane", lane: "ev1" as never } as const;
  run.tap("desk", { kind: "hold.raised", scope, reason: "Not ready", inject: null });
  expect(desk(run).requests).toEqual([]);
  expect(desk(run).holds[0]).toMatchObject({ covers: "lane EV1", missing: ["EV1"] });
});

test("[follow 1] [follow 2] due are own steps and owed GOs, the soonest first, as ranges", () => {
  const run = tappedRun(aProcedure());
  const follow = () => followView({ ...ground(run), lane: "iv" as never });
  expect(follow().due.map((line) => line.key)).toEqual(["iv-power-off", "ev1-torque go"]);
  expect(follow().due[1]).toMatchObject({
    due: "go",
    name: "EV1 step 4",
    // Rack, tether and meet come first, at their least and at their most.
    when: { fromSeconds: 1 + 3 * 60, toSeconds: 1 + 3 * 180 },
  });
  const gate = "go" as never;
  run.tap("desk", { kind: "gate.go-given", step: "ev1-torque" as StepId, gate }, "iv");
  expect(follow().due.map((line) => line.key)).toEqual(["iv-power-off"]);
});
