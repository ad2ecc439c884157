import { describe, expect, test } from "vitest";
import type { InjectId, PositionId, StepId } from "../../../../machines/procedure/ids.ts";
import type { GateId } from "../../../../machines/procedure/ids.ts";
import type { DeviceId, HoldId } from "../../../../machines/record/ids.ts";
import type { Role } from "../../../../machines/record/entry.ts";
import { laneView } from "../../../../machines/views/lane-view.ts";
import type { LaneView } from "../../../../machines/views/lane-view.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { tappedRun } from "../../../support/tapped-run.ts";
import type { TappedRun } from "../../../support/tapped-run.ts";

const step = (id: string) => id as StepId;

function view(
  run: TappedRun,
  lane: string,
  viewer: { device: string; role: Role; lane: string | null } = directorsDesk,
): LaneView {
  const seen = laneView(run.index, run.state(), lane as PositionId, {
    viewer: {
      device: viewer.device as DeviceId,
      role: viewer.role,
      lane: viewer.lane as PositionId | null,
    },
    nowMs: run.nowMs(),
  });
  if (seen === undefined) throw new Error(`no lane ${lane}`);
  return seen;
}

const directorsDesk = { device: "desk", role: "director", lane: null } as const;
const ev1Tablet = { device: "tablet-1", role: "crew", lane: "ev1" } as const;
const ev2Tablet = { device: "tablet-2", role: "crew", lane: "ev2" } as const;

function workStep(run: TappedRun, id: string, lane: string): void {
  run.tap("desk", { kind: "step.started", step: step(id) }, lane);
  run.tap("desk", { kind: "step.done", step: step(id) }, lane);
}

// Up to the step in which EV1 torques the bracket's bolts.
function runToTorque(): TappedRun {
  const run = tappedRun(aProcedure());
  run.join("tablet-1", "crew", "ev1");
  run.join("tablet-2", "crew", "ev2");
  workStep(run, "iv-power-off", "iv");
  workStep(run, "ev1-to-rack", "ev1");
  run.tap("desk", acknowledge("ev1-swap-tether", "caution-1"), "ev1");
  workStep(run, "ev1-swap-tether", "ev1");
  workStep(run, "ev2-to-rack", "ev2");
  workStep(run, "ev1-meet", "ev1");
  workStep(run, "ev2-meet", "ev2");
  return run;
}

function acknowledge(of: string, gate: string) {
  return { kind: "gate.acknowledged", step: step(of), gate: gate as GateId } as const;
}

function raiseHold(run: TappedRun, lane: string): void {
  run.tap(
    "desk",
    {
      kind: "hold.raised",
      scope: { covers: "lane", lane: lane as PositionId },
      reason: "Loop lost",
      inject: null,
    },
    null,
  );
}

describe("the step of now", () => {
  test("[lane-view 1] two steps before and three after, in the lane's order", () => {
    const run = runToTorque();
    const seen = view(run, "ev1");
    expect(seen.now?.step).toBe("ev1-torque");
    expect(seen.before.map((line) => line.step)).toEqual(["ev1-swap-tether", "ev1-meet"]);
    expect(seen.next.map((line) => line.step)).toEqual(["ev1-swap-back", "ev1-home"]);
  });

  test("[lane-view 2] contingency steps show once a choice has named their task", () => {
    const run = runToTorque();
    expect(view(run, "ev1").next.map((line) => line.step)).not.toContain("ev1-back-off");
    run.tap(
      "desk",
      { kind: "branch.chosen", step: step("ev1-torque"), branch: "one-stuck" as never },
      "ev1",
    );
    expect(view(run, "ev1").next.map((line) => line.step)[0]).toBe("ev1-back-off");
  });

  test("a step that is being worked is the step of now even out of order", () => {
    const run = tappedRun(aProcedure());
    run.tap("desk", { kind: "step.started", step: step("ev1-home") }, "ev1");
    expect(view(run, "ev1").now?.step).toBe("ev1-home");
  });

  test("a lane whose steps are all over has no step of now", () => {
    const run = tappedRun(aProcedure());
    for (const one of run.index.stepsByLane.get("ev1" as PositionId) ?? []) {
      run.tap("desk", { kind: "step.not-performed", step: one.id, reason: "short" }, "ev1");
    }
    const seen = view(run, "ev1");
    expect(seen.now).toBeNull();
    expect(seen.progress.over).toBe(seen.progress.all);
  });
});

describe("hazards and gates", () => {
  test("[step-card 1] warnings stand before cautions, cautions before notes", () => {
    const run = runToTorque();
    expect(view(run, "ev1").now?.hazards.map((hazard) => hazard.word)).toEqual(["warning", "note"]);
  });

  test("[gate-card 1] a warning waits for a readback after the acknowledgement", () => {
    const run = runToTorque();
    const warning = () => view(run, "ev1", ev1Tablet).now?.gates.find((g) => g.sort === "warning");
    expect(warning()?.act).toEqual({ act: "acknowledge", as: "ev1" });
    run.tap("tablet-1", acknowledge("ev1-torque", "warning-1"), "ev1");
    expect(warning()?.state).toBe("acknowledged");
    expect(warning()?.standsWords).toMatch(/IV/i);
  });

  test("[gate-card 2] who acknowledged does not confirm; the other lane and the desk may", () => {
    const run = runToTorque();
    run.tap("tablet-1", acknowledge("ev1-torque", "warning-1"), "ev1");
    const actFor = (viewer: Parameters<typeof view>[2]) =>
      view(run, "ev1", viewer).now?.gates.find((gate) => gate.sort === "warning")?.act;
    expect(actFor(ev1Tablet)).toEqual({ act: "none" });
    expect(actFor(ev2Tablet)).toEqual({ act: "confirm-readback", as: "ev2" });
    expect(actFor(directorsDesk)).toEqual({ act: "confirm-readback", as: "iv" });
  });

  test("[gate-card 2] a GO is given by the position that it is from, or on its behalf", () => {
    const run = runToTorque();
    const actFor = (viewer: Parameters<typeof view>[2]) =>
      view(run, "ev1", viewer).now?.gates.find((gate) => gate.sort === "go")?.act;
    expect(actFor(ev1Tablet)).toEqual({ act: "none" });
    expect(actFor(directorsDesk)).toEqual({ act: "give-go", as: "iv" });
  });

  test("a reading says whether it lies within its limits", () => {
    const run = runToTorque();
    const gate = () => view(run, "ev2").now?.gates.find((one) => one.sort === "reading");
    expect(gate()?.limitsWords).toBe("from 95 to 105\u00A0kPa");
    run.tap(
      "tablet-2",
      {
        kind: "gate.reading-reported",
        step: step("ev2-seal"),
        gate: "seal" as GateId,
        value: 90,
        unit: "kPa",
      },
      "ev2",
    );
    expect(gate()?.standsWords).toBe("90\u00A0kPa, outside limits");
    expect(gate()?.mayOverride).toBe(true);
  });
});

describe("what the next act goes against", () => {
  test("[step-card 2] closed gates before the start are named; a gate before done is not", () => {
    const run = runToTorque();
    const acts = view(run, "ev1").now?.acts;
    expect(acts?.next).toBe("start");
    expect(acts?.against.join("; ")).toContain("warning");
    expect(acts?.against.join("; ")).toContain("GO");
    expect(acts?.against.join("; ")).not.toContain("Bolts torqued");
  });

  test("[step-card 2] once started, the gate before done and the question stand before done", () => {
    const run = runToTorque();
    run.tap("desk", { kind: "step.started", step: step("ev1-torque") }, "ev1");
    const acts = view(run, "ev1").now?.acts;
    expect(acts?.next).toBe("finish");
    expect(acts?.against.join("; ")).toContain("Bolts torqued");
    expect(acts?.against.join("; ")).toContain("question");
  });

  test("nothing is in the way of the first step once the run is under way", () => {
    const run = tappedRun(aProcedure());
    expect(view(run, "ev1").now?.acts).toEqual({ mayAct: true, next: "start", against: [] });
  });

  test("before the run is started, the phase is in the way", () => {
    const run = tappedRun(aProcedure(), false);
    expect(view(run, "ev1").now?.acts.against).toHaveLength(1);
    expect(view(run, "ev1").petSeconds).toBeNull();
  });
});

describe("holds, simulated cases and undo", () => {
  test("[lane-view 3] a hold shows on the lane that it covers, not on the other", () => {
    const run = tappedRun(aProcedure());
    raiseHold(run, "ev1");
    expect(view(run, "ev1").holds.map((hold) => hold.reason)).toEqual(["Loop lost"]);
    expect(view(run, "ev2").holds).toEqual([]);
    expect(view(run, "ev1").now?.acts.against).toEqual(["on hold"]);
  });

  test("[lane-view 3] a hold waits for the lane until it is acknowledged, and goes when released", () => {
    const run = tappedRun(aProcedure());
    run.join("tablet-1", "crew", "ev1");
    raiseHold(run, "ev1");
    const hold = "desk:4" as HoldId;
    expect(view(run, "ev1", ev1Tablet).holds[0]?.waitsFor).toEqual(["ev1"]);
    run.tap("tablet-1", { kind: "hold.acknowledged", hold, lane: "ev1" as PositionId }, "ev1");
    expect(view(run, "ev1", ev1Tablet).holds[0]?.waitsFor).toEqual([]);
    expect(view(run, "ev1", ev1Tablet).holds[0]?.mayRelease).toBe(false);
    run.tap("desk", { kind: "hold.released", hold });
    expect(view(run, "ev1").holds).toEqual([]);
  });

  test("[step-card 3] time on hold is counted apart, also since the last entry", () => {
    const run = tappedRun(aProcedure());
    run.tap("desk", { kind: "step.started", step: step("ev1-to-rack") }, "ev1");
    run.wait(59);
    raiseHold(run, "ev1");
    run.wait(119);
    const time = view(run, "ev1").now?.time;
    expect(time?.workedSeconds).toBe(60);
    expect(time?.heldSeconds).toBe(120);
  });

  test("[lane-view 3] a live case shows to the lanes that it names, and only until it is cleared", () => {
    const run = tappedRun(aProcedure());
    const inject = "quiet" as InjectId;
    run.tap("desk", {
      kind: "inject.fired",
      inject,
      name: "Quiet loop",
      card: "You hear nobody.",
      shownTo: ["ev1" as PositionId],
    });
    expect(view(run, "ev1").injects.map((one) => one.card)).toEqual(["You hear nobody."]);
    expect(view(run, "ev2").injects).toEqual([]);
    run.tap("desk", { kind: "inject.cleared", inject });
    expect(view(run, "ev1").injects).toEqual([]);
  });

  test("[last-tap 1] undo offers this device's last tap, then the one before it", () => {
    const run = tappedRun(aProcedure());
    workStep(run, "ev1-to-rack", "ev1");
    const last = () => view(run, "ev1").lastTap;
    expect(last()?.says).toContain("Step done");
    const entry = last()?.entry;
    if (entry === undefined) throw new Error("nothing to take back");
    run.tap("desk", { kind: "entry.withdrawn", withdrawn: entry, reason: "Mis-tap" }, "ev1");
    expect(last()?.says).toContain("Step started");
    expect(view(run, "ev1", ev1Tablet).lastTap).toBeNull();
  });
});

test("a lane that the procedure has not is undefined", () => {
  const run = tappedRun(aProcedure());
  const viewer = { device: "desk" as DeviceId, role: "director", lane: null } as const;
  const seen = laneView(run.index, run.state(), "ev9" as PositionId, { viewer, nowMs: 0 });
  expect(seen).toBeUndefined();
});
