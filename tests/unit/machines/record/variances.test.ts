// What becomes a variance and what does not, example by example, on the small procedure.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type {
  BranchId,
  CheckId,
  GateId,
  PositionId,
  ReadingId,
  StepId,
  TaskId,
} from "../../../../machines/procedure/ids.ts";
import type { EntryBody, EntryName, HoldScope } from "../../../../machines/record/entry.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { holdIdOf } from "../../../../machines/record/hold-id.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import type { RunState, StepInRun, Variance } from "../../../../machines/record/run-state.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRecord } from "../../../support/a-record.ts";
import type { RecordInWriting } from "../../../support/a-record.ts";

const index = indexProcedure(aProcedure());

const fold = (record: RecordInWriting): RunState =>
  foldRun(index, orderEntries(record.entries).ordered);

const started = (step: string): EntryBody => ({ kind: "step.started", step: step as StepId });
const done = (step: string): EntryBody => ({ kind: "step.done", step: step as StepId });
const gate = (step: string, id: string) => ({ step: step as StepId, gate: id as GateId });
const count = (value: number): EntryBody => ({
  kind: "gate.count-reported",
  ...gate("ev1-torque", "bolts"),
  count: value,
});
const reading = (value: number, unit: "kPa" | "psi" | "m" = "kPa"): EntryBody => ({
  kind: "gate.reading-reported",
  ...gate("ev2-seal", "seal"),
  value,
  unit,
});
const lane = (id: string): HoldScope => ({ covers: "lane", lane: id as PositionId });
const everyone: HoldScope = { covers: "everyone" };
const raised = (scope: HoldScope): EntryBody => ({
  kind: "hold.raised",
  scope,
  reason: "test",
  inject: null,
});
const released = (hold: EntryName): EntryBody => ({ kind: "hold.released", hold: holdIdOf(hold) });
const withdrawn = (entry: EntryName): EntryBody => ({
  kind: "entry.withdrawn",
  withdrawn: entry,
  reason: "mis-tap",
});

const stepOf = (state: RunState, id: string): StepInRun => state.steps[id as StepId] as StepInRun;
const gateOf = (state: RunState, step: string, id: string) =>
  stepOf(state, step).gates[id as GateId] as StepInRun["gates"][GateId];

// Causes and blocks in short: "gate-closed: caution-1".
function shortOf({ cause, blocks }: Variance): string {
  const names = blocks.map((block) => {
    if (block.on === "step" || block.on === "meet") return block.step;
    if (block.on === "gate") return block.gate;
    if (block.on === "phase") return block.phase;
    return block.on;
  });
  return names.length === 0 ? cause : `${cause}: ${names.join(", ")}`;
}

function checkVariances(record: RecordInWriting, expected: readonly string[]): RunState {
  const state = fold(record);
  expect(state.variances.map(shortOf)).toEqual(expected);
  return state;
}

// Both crew at the rack and met, power off; EV1 is about to torque.
function atTheRack(): RecordInWriting {
  const record = aRecord();
  const plan: readonly (readonly [string, EntryBody])[] = [
    ["reader", started("iv-power-off")],
    ["reader", done("iv-power-off")],
    ["tablet-1", started("ev1-to-rack")],
    ["tablet-1", done("ev1-to-rack")],
    ["tablet-1", { kind: "gate.acknowledged", ...gate("ev1-swap-tether", "caution-1") }],
    ["tablet-1", started("ev1-swap-tether")],
    ["tablet-1", done("ev1-swap-tether")],
    ["tablet-2", started("ev2-to-rack")],
    ["tablet-2", done("ev2-to-rack")],
    ["tablet-1", started("ev1-meet")],
    ["tablet-1", done("ev1-meet")],
    ["tablet-2", started("ev2-meet")],
    ["tablet-2", done("ev2-meet")],
  ];
  for (const [device, body] of plan) record.tap(device, body);
  return record;
}

// … and every gate before torquing is open.
function readyToTorque(): RecordInWriting {
  const record = atTheRack();
  record.tap("tablet-1", { kind: "gate.acknowledged", ...gate("ev1-torque", "warning-1") });
  record.tap("tablet-2", { kind: "gate.readback-confirmed", ...gate("ev1-torque", "warning-1") });
  record.tap("reader", { kind: "gate.go-given", ...gate("ev1-torque", "go") });
  return record;
}

test("[fold 4] a run that goes by its procedure has no variance, and its effects hold", () => {
  const record = readyToTorque();
  record.tap("tablet-1", started("ev1-torque"));
  record.tap("tablet-1", count(4));
  const branch = "all-turned" as BranchId;
  record.tap("tablet-1", { kind: "branch.chosen", step: "ev1-torque" as StepId, branch });
  record.tap("tablet-1", done("ev1-torque"));
  record.tap("tablet-2", started("ev2-seal"));
  record.tap("tablet-2", reading(100));
  record.tap("tablet-2", done("ev2-seal"));
  const state = checkVariances(record, []);
  expect(stepOf(state, "ev1-torque").state).toBe("done");
  expect(state.items).toMatchObject({ bracket: { site: "rack" } });
  expect(state.tethers).toMatchObject({ "tether-1": ["rack"], "tether-2": ["hatch"] });
  expect(state.persons).toMatchObject({ ev1: { site: "rack" }, ev2: { site: "rack" } });
  expect(state.hardware).toEqual({ "heater-power": "off" });
  expect(stepOf(state, "ev1-back-off")).toMatchObject({ inPlay: false, blocks: [] });
  expect(stepOf(state, "ev1-swap-back").state).toBe("clear");
  expect(state.log.every(({ outcome }) => outcome === "applied")).toBe(true);
});

test("[assess-step 1] readiness and blocks follow what is in the way", () => {
  const record = aRecord();
  expect(stepOf(fold(record), "ev1-to-rack").state).toBe("clear");
  expect(stepOf(fold(record), "ev1-swap-tether")).toMatchObject({
    state: "standing-by",
    blocks: [
      { on: "step", step: "ev1-to-rack" },
      { on: "gate", gate: "caution-1" },
    ],
  });
  record.tap("tablet-1", started("ev1-to-rack"));
  record.tap("tablet-1", done("ev1-to-rack"));
  expect(stepOf(fold(record), "ev1-swap-tether").state).toBe("gated");
  record.tap("tablet-1", { kind: "gate.acknowledged", ...gate("ev1-swap-tether", "caution-1") });
  record.tap("tablet-1", started("ev1-swap-tether"));
  record.tap("tablet-1", done("ev1-swap-tether"));
  expect(stepOf(fold(record), "ev1-meet")).toMatchObject({
    state: "waiting",
    blocks: [{ on: "meet", lane: "ev2", step: "ev2-meet" }],
  });
});

test("[assess-step 1] a step waits for conditions, items and steps of other lanes", () => {
  const record = atTheRack();
  expect(stepOf(fold(record), "ev2-seal").blocks).toEqual([{ on: "step", step: "ev1-torque" }]);
  const early = aRecord();
  const { blocks } = stepOf(fold(early), "ev1-torque");
  expect(blocks).toContainEqual({ on: "step", step: "iv-power-off" });
  expect(blocks.filter(({ on }) => on === "condition").length).toBe(1);
});

test("[assess-step 3] a lane that has started its step of the meet has arrived, however it came", () => {
  const record = aRecord();
  const meetsAwaited = (): number =>
    stepOf(fold(record), "ev1-meet").blocks.filter(({ on }) => on === "meet").length;
  expect(meetsAwaited()).toBe(1);
  record.tap("tablet-2", started("ev2-meet"));
  expect(meetsAwaited()).toBe(0);
});

test("[assess-step 1] a step that needs a window waits outside it", () => {
  const record = readyToTorque();
  record.tap("tablet-1", started("ev1-torque"), { afterMs: 3_600_000 });
  checkVariances(record, ["out-of-order: window"]);
});

test("[fold-steps 1] starting through a closed gate is gate-closed, and applied", () => {
  const record = atTheRack();
  record.tap("tablet-1", started("ev1-torque"));
  const state = checkVariances(record, ["gate-closed: warning-1, go"]);
  expect(stepOf(state, "ev1-torque").state).toBe("working");
  expect(state.log.at(-1)?.outcome).toBe("applied");
});

test("[fold-steps 1] done with a gate closed and no choice made has a variance of each cause", () => {
  const record = readyToTorque();
  record.tap("tablet-1", started("ev1-torque"));
  record.tap("tablet-1", done("ev1-torque"));
  const state = checkVariances(record, ["gate-closed: bolts", "out-of-order: choice"]);
  expect(stepOf(state, "ev1-torque").state).toBe("done");
});

test("[fold-steps 1] a step before its turn is out of order and names what it skipped", () => {
  const record = aRecord();
  record.tap("tablet-1", started("ev1-meet"));
  checkVariances(record, ["out-of-order: ev1-swap-tether, ev2-meet"]);
});

test("[fold-steps 1] a step of a contingency task that nobody chose is out of order", () => {
  const record = atTheRack();
  record.tap("tablet-1", started("ev1-back-off"));
  checkVariances(record, ["out-of-order: choice"]);
});

test("[assess-step 1] a choice brings its contingency task into play, and taking it back out", () => {
  const record = readyToTorque();
  record.tap("tablet-1", started("ev1-torque"));
  const branch = "one-stuck" as BranchId;
  const step = "ev1-torque" as StepId;
  const choice = record.tap("tablet-1", { kind: "branch.chosen", step, branch });
  expect(stepOf(fold(record), "ev1-back-off").inPlay).toBe(true);
  expect(stepOf(fold(record), "ev1-swap-back").blocks).toContainEqual({
    on: "step",
    step: "ev1-back-off",
  });
  record.tap("tablet-1", withdrawn(choice));
  expect(stepOf(fold(record), "ev1-back-off").inPlay).toBe(false);
});

test("[fold-steps 1] before the run has started no step is in order", () => {
  const record = aRecord();
  const closing = record.tap("desk", { kind: "run.closing-started" });
  expect(closing.seq).toBeGreaterThan(1);
  record.tap("tablet-1", started("ev1-to-rack"));
  checkVariances(record, ["out-of-order: closing"]);
});

test("[fold-steps 2] the same from two devices within 30 s is a corroboration", () => {
  const record = aRecord();
  record.tap("tablet-1", started("ev1-to-rack"));
  record.tap("reader", started("ev1-to-rack"), { afterMs: 30_000, position: "ev1" });
  const state = checkVariances(record, []);
  expect(state.log.at(-1)?.outcome).toBe("no-effect");
});

test("[fold-steps 2] the same after more than 30 s is done twice, and applied once", () => {
  const record = aRecord();
  record.tap("reader", started("iv-power-off"));
  record.tap("reader", done("iv-power-off"));
  record.tap("desk", done("iv-power-off"), { afterMs: 30_001 });
  const state = checkVariances(record, ["done-twice"]);
  const { startedAtMs, finishedAtMs } = stepOf(state, "iv-power-off");
  expect((finishedAtMs ?? 0) - (startedAtMs ?? 0)).toBe(60_000);
});

test("[fold-steps 3] a done step stays done against a later deferral", () => {
  const record = aRecord();
  record.tap("reader", done("iv-power-off"));
  const step = "iv-power-off" as StepId;
  record.tap("desk", { kind: "step.deferred", step, reason: "time" }, { hears: "nobody" });
  const state = checkVariances(record, ["out-of-order"]);
  expect(stepOf(state, "iv-power-off").state).toBe("done");
});

test("[fold-steps 4] done without a start has started when it was done, without a variance", () => {
  const record = aRecord();
  record.tap("reader", done("iv-power-off"));
  const { startedAtMs, finishedAtMs } = stepOf(checkVariances(record, []), "iv-power-off");
  expect(startedAtMs).toBe(finishedAtMs);
});

test("[fold-steps 5] a partly done step changes nothing; what follows it may go on", () => {
  const record = aRecord();
  const step = "iv-power-off" as StepId;
  record.tap("reader", started(step));
  record.tap("reader", { kind: "step.partly-done", step, remains: "one switch" });
  const state = checkVariances(record, []);
  expect(state.hardware).toEqual({ "heater-power": "on" });
  expect(stepOf(state, step)).toMatchObject({ state: "partly-done", reason: "one switch" });
});

test("[step 1] a deferred step is taken up again without a variance", () => {
  const record = aRecord();
  const step = "iv-power-off" as StepId;
  record.tap("desk", { kind: "step.deferred", step, reason: "time" });
  record.tap("reader", started(step));
  record.tap("reader", done(step));
  expect(stepOf(checkVariances(record, []), step)).toMatchObject({ state: "done", reason: null });
});

test("[note-variance 3] moving on hold: the device had seen the hold", () => {
  const record = aRecord();
  record.tap("desk", raised(lane("ev1")));
  record.tap("tablet-1", started("ev1-to-rack"));
  checkVariances(record, ["hold-seen: hold"]);
});

test("[note-variance 3] moving on hold: the device had not seen the hold, whatever the time", () => {
  const record = aRecord();
  record.hear("tablet-1", "desk");
  record.tap("desk", raised(lane("ev1")));
  record.tap("tablet-1", started("ev1-to-rack"), { hears: "nobody", afterMs: 600_000 });
  checkVariances(record, ["hold-not-seen: hold"]);
});

test("[note-variance 3] [entry 4] what a device had seen once it has seen for good", () => {
  const record = aRecord();
  record.tap("desk", raised(lane("ev1")));
  record.tap("tablet-1", { kind: "note.added", text: "on hold", step: null, oddity: false });
  record.tap("tablet-1", started("ev1-to-rack"), { hears: "nobody" });
  checkVariances(record, ["hold-seen: hold"]);
});

test("[note-variance 3] who raised a hold has seen it", () => {
  const record = aRecord();
  record.tap("tablet-1", raised(lane("ev1")));
  record.tap("tablet-1", started("ev1-to-rack"), { hears: "nobody" });
  checkVariances(record, ["hold-seen: hold"]);
});

test("[assess-step 4] holds nest: a lane moves only when none covers it", () => {
  const record = aRecord();
  const forLane = record.tap("desk", raised(lane("ev1")));
  const forAll = record.tap("desk", raised(everyone));
  const forTask = record.tap("desk", raised({ covers: "task", task: "bracket" as TaskId }));
  expect(fold(record).phase).toBe("holding");
  const holdsOn = (state: RunState): number =>
    stepOf(state, "ev1-to-rack").blocks.filter(({ on }) => on === "hold").length;
  expect(holdsOn(fold(record))).toBe(2);
  expect(stepOf(fold(record), "ev2-meet").blocks.filter(({ on }) => on === "hold").length).toBe(2);
  record.tap("desk", released(forAll));
  expect(fold(record).phase).toBe("under-way");
  expect(holdsOn(fold(record))).toBe(1);
  record.tap("desk", released(forTask));
  record.tap("desk", released(forLane));
  expect(holdsOn(fold(record))).toBe(0);
  record.tap("tablet-1", started("ev1-to-rack"));
  checkVariances(record, []);
});

test("[fold-holds 1] deferring on hold is no variance", () => {
  const record = aRecord();
  record.tap("desk", raised(everyone));
  record.tap("desk", { kind: "step.deferred", step: "ev1-to-rack" as StepId, reason: "time" });
  checkVariances(record, []);
});

test("[state-of-run 2] time on hold counts once where holds overlap, and within the step only", () => {
  const record = aRecord();
  const first = record.tap("desk", raised(lane("ev2")));
  record.tap("desk", released(first));
  record.tap("tablet-1", started("ev1-to-rack"));
  const everyonesHold = record.tap("desk", raised(everyone));
  const lanesHold = record.tap("desk", raised(lane("ev1")));
  record.tap("desk", released(everyonesHold));
  record.tap("desk", released(lanesHold));
  record.tap("tablet-1", done("ev1-to-rack"));
  const last = record.tap("desk", raised(lane("ev1")));
  record.tap("desk", released(last));
  // Raised at 1 min after the start, the other released at 4 min.
  expect(stepOf(checkVariances(record, []), "ev1-to-rack").heldMs).toBe(180_000);
});

test("[hold 2] a hold is acknowledged when every lane it covers has acknowledged it", () => {
  const record = aRecord();
  const hold = record.tap("desk", raised(everyone));
  const id = holdIdOf(hold);
  const acknowledge = (device: string, by: string): EntryName =>
    record.tap(device, { kind: "hold.acknowledged", hold: id, lane: by as PositionId });
  acknowledge("tablet-1", "ev1");
  acknowledge("reader", "iv");
  expect(fold(record).holds[id]).toMatchObject({
    state: "raised",
    acknowledgedLanes: ["ev1", "iv"],
  });
  const last = acknowledge("tablet-2", "ev2");
  expect(fold(record).holds[id]?.state).toBe("acknowledged");
  record.tap("tablet-2", withdrawn(last));
  expect(fold(record).holds[id]?.state).toBe("raised");
});

test("[fold-gates 1] a warning opens by acknowledgement and a second position, in either order", () => {
  const acknowledged: EntryBody = { kind: "gate.acknowledged", ...gate("ev1-torque", "warning-1") };
  const confirmed: EntryBody = {
    kind: "gate.readback-confirmed",
    ...gate("ev1-torque", "warning-1"),
  };
  const forwards = atTheRack();
  forwards.tap("tablet-1", acknowledged);
  expect(gateOf(fold(forwards), "ev1-torque", "warning-1")?.state).toBe("acknowledged");
  const by = forwards.tap("reader", confirmed);
  expect(gateOf(fold(forwards), "ev1-torque", "warning-1")).toMatchObject({
    state: "open",
    openedBy: by,
  });
  const backwards = atTheRack();
  const early = backwards.tap("reader", confirmed);
  expect(gateOf(fold(backwards), "ev1-torque", "warning-1")?.state).toBe("closed");
  backwards.tap("tablet-1", acknowledged);
  expect(gateOf(checkVariances(backwards, []), "ev1-torque", "warning-1")).toMatchObject({
    state: "open",
    openedBy: early,
  });
});

test("[fold-gates 1] no position confirms its own read-back, on whatever device", () => {
  const record = atTheRack();
  record.tap("tablet-1", { kind: "gate.acknowledged", ...gate("ev1-torque", "warning-1") });
  const confirmed: EntryBody = {
    kind: "gate.readback-confirmed",
    ...gate("ev1-torque", "warning-1"),
  };
  record.tap("tablet-1", confirmed);
  record.tap("reader", confirmed, { position: "ev1" });
  const state = checkVariances(record, ["beyond-rights", "beyond-rights: warning-1"]);
  expect(gateOf(state, "ev1-torque", "warning-1")?.state).toBe("acknowledged");
  expect(state.log.slice(-2).map(({ outcome }) => outcome)).toEqual(["set-aside", "set-aside"]);
});

test("[fold-gates 1] a read-back confirmed early for the position that then acknowledges opens nothing", () => {
  const record = atTheRack();
  const warning = gate("ev1-torque", "warning-1");
  record.tap("reader", { kind: "gate.readback-confirmed", ...warning }, { position: "ev1" });
  record.tap("tablet-1", { kind: "gate.acknowledged", ...warning });
  expect(gateOf(fold(record), "ev1-torque", "warning-1")?.state).toBe("acknowledged");
  record.tap("tablet-2", { kind: "gate.readback-confirmed", ...warning });
  expect(gateOf(fold(record), "ev1-torque", "warning-1")?.state).toBe("open");
});

test("[fold-gates 1] one tablet may act for two positions in turn", () => {
  const record = atTheRack();
  const warning = gate("ev1-torque", "warning-1");
  record.tap("reader", { kind: "gate.acknowledged", ...warning }, { position: "ev1" });
  record.tap("reader", { kind: "gate.readback-confirmed", ...warning }, { position: "iv" });
  expect(gateOf(checkVariances(record, []), "ev1-torque", "warning-1")?.state).toBe("open");
});

test("[fold-gates 2] the last count decides; two devices that differ are a variance", () => {
  const record = readyToTorque();
  record.tap("tablet-1", started("ev1-torque"));
  record.tap("tablet-1", count(2));
  expect(gateOf(fold(record), "ev1-torque", "bolts")?.state).toBe("closed");
  record.tap("tablet-1", count(4));
  expect(gateOf(fold(record), "ev1-torque", "bolts")?.state).toBe("open");
  record.tap("reader", count(3), { position: "ev1" });
  const state = checkVariances(record, ["reports-differ: bolts"]);
  expect(gateOf(state, "ev1-torque", "bolts")?.state).toBe("closed");
  expect(gateOf(state, "ev1-torque", "bolts")?.reports.map(({ value }) => value)).toEqual([
    2, 4, 3,
  ]);
});

test("[fold-gates 3] a reading outside its limits is a variance and opens nothing", () => {
  const record = atTheRack();
  record.tap("tablet-2", reading(94.9));
  const state = checkVariances(record, ["limit-exceeded: seal"]);
  expect(gateOf(state, "ev2-seal", "seal")?.state).toBe("closed");
});

test("[fold-gates 2] limits are included, and a reading in another unit is converted", () => {
  // 14.5 psi = 99.97 kPa (NIST SP 811, appendix B: 1 psi = 6.894757 kPa); the limits are 95 and 105.
  for (const body of [reading(95), reading(105), reading(14.5, "psi")]) {
    const record = atTheRack();
    record.tap("tablet-2", body);
    expect(gateOf(checkVariances(record, []), "ev2-seal", "seal")?.state).toBe("open");
  }
  const record = atTheRack();
  record.tap("tablet-2", reading(100, "m"));
  checkVariances(record, ["limit-exceeded: seal"]);
});

test("[fold-gates 3] an override lets the step pass, with its reason, and is a variance", () => {
  const record = readyToTorque();
  const reason = "Gauge broken.";
  record.tap("tablet-2", { kind: "gate.overridden", ...gate("ev2-seal", "seal"), reason });
  const state = checkVariances(record, ["limit-exceeded: seal"]);
  expect(gateOf(state, "ev2-seal", "seal")).toMatchObject({ state: "overridden", reason });
});

test("[fold-gates 4] a count at a reading gate changes nothing", () => {
  const record = atTheRack();
  const wrong = gate("ev2-seal", "seal");
  record.tap("tablet-2", { kind: "gate.count-reported", ...wrong, count: 4 });
  const state = checkVariances(record, ["out-of-order"]);
  expect(gateOf(state, "ev2-seal", "seal")).toMatchObject({ state: "closed", reports: [] });
});

const readings = (value: number): EntryBody => ({
  kind: "check.recorded",
  check: "suit-check" as CheckId,
  readings: { ["suit-pressure" as ReadingId]: value },
});

test("[fold-remarks 1] a recurring check with a reading outside its limits is a variance", () => {
  const record = aRecord();
  record.tap("tablet-1", readings(29));
  checkVariances(record, []);
  record.tap("tablet-1", readings(31.1));
  expect(checkVariances(record, ["limit-exceeded"]).checks.length).toBe(2);
});

test("[fold 5] an entry beyond rights is set aside, noted, and changes nothing else", () => {
  const record = aRecord();
  const before = fold(record);
  record.tap("tablet-1", started("ev2-to-rack"));
  record.tap("wall", { kind: "note.added", text: "hello", step: null, oddity: false });
  record.tap("tablet-1", raised(everyone));
  record.tap("tablet-1", { kind: "run.closed" });
  const state = checkVariances(record, Array<string>(4).fill("beyond-rights"));
  expect(state.log.slice(-4).every(({ outcome }) => outcome === "set-aside")).toBe(true);
  const { variances: _v, log: _l, ...rest } = state;
  const { variances: _before, log: _log, ...restBefore } = before;
  expect(rest).toEqual(restBefore);
});

test("[fold 6] after closing, notes are in order and steps are not", () => {
  const record = aRecord();
  record.tap("desk", { kind: "run.closing-started" });
  record.tap("desk", { kind: "run.closed" });
  record.tap("reader", { kind: "note.added", text: "Well done.", step: null, oddity: false });
  checkVariances(record, []);
  record.tap("reader", done("iv-power-off"));
  record.tap("desk", raised(everyone));
  const state = checkVariances(record, ["out-of-order: closed", "out-of-order: closed"]);
  expect(stepOf(state, "iv-power-off").state).toBe("done");
  expect(state.phase).toBe("closed");
});
