// Withdrawals, phases, the real stop, who is let in, and injects, example by example.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { GateId, InjectId, PositionId, StepId } from "../../../../machines/procedure/ids.ts";
import type { EntryBody, EntryName } from "../../../../machines/record/entry.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { holdIdOf, holdRaisedBy } from "../../../../machines/record/hold-id.ts";
import type { DeviceId, HoldId } from "../../../../machines/record/ids.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import type { RunState } from "../../../../machines/record/run-state.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aJoining, anEmptyRecord, aRecord, opening } from "../../../support/a-record.ts";
import type { RecordInWriting } from "../../../support/a-record.ts";

const index = indexProcedure(aProcedure());
const fold = (record: RecordInWriting): RunState =>
  foldRun(index, orderEntries(record.entries).ordered);
const started = (step: string): EntryBody => ({ kind: "step.started", step: step as StepId });
const done = (step: string): EntryBody => ({ kind: "step.done", step: step as StepId });
const note = (text: string): EntryBody => ({ kind: "note.added", text, step: null, oddity: false });
const withdrawn = (entry: EntryName): EntryBody => ({
  kind: "entry.withdrawn",
  withdrawn: entry,
  reason: "mis-tap",
});
const everyonesHold: EntryBody = {
  kind: "hold.raised",
  scope: { covers: "everyone" },
  reason: "test",
  inject: null,
};
const causes = (state: RunState): string[] => state.variances.map(({ cause }) => cause);
const outcomes = (state: RunState, last: number): string[] =>
  state.log.slice(-last).map(({ outcome }) => outcome);

test("[withdraw-entry 1] withdrawing done reopens the step and undoes its effects", () => {
  const record = aRecord();
  record.tap("reader", started("iv-power-off"));
  const tapped = record.tap("reader", done("iv-power-off"));
  expect(fold(record).hardware).toEqual({ "heater-power": "off" });
  record.tap("reader", withdrawn(tapped));
  const state = fold(record);
  expect(state.hardware).toEqual({ "heater-power": "on" });
  expect(state.steps["iv-power-off" as StepId]).toMatchObject({
    state: "working",
    finishedAtMs: null,
  });
  expect(outcomes(state, 2)).toEqual(["withdrawn", "applied"]);
  expect(causes(state)).toEqual([]);
});

test("[withdraw-entry 1] what another device had corroborated stands", () => {
  const record = aRecord();
  const first = record.tap("tablet-1", started("ev1-to-rack"));
  record.tap("reader", started("ev1-to-rack"), { afterMs: 1000, position: "ev1" });
  record.tap("tablet-1", withdrawn(first));
  expect(fold(record).steps["ev1-to-rack" as StepId]?.state).toBe("working");
});

test("[withdraw-entry 1] withdrawing an acknowledgement closes the gate", () => {
  const record = aRecord();
  const gate = { step: "ev1-swap-tether" as StepId, gate: "caution-1" as GateId };
  const tapped = record.tap("tablet-1", { kind: "gate.acknowledged", ...gate });
  const gateState = () => fold(record).steps[gate.step]?.gates[gate.gate]?.state;
  expect(gateState()).toBe("open");
  record.tap("tablet-1", withdrawn(tapped));
  expect(gateState()).toBe("closed");
});

test("[withdraw-entry 1] withdrawing a count lets the one before it decide", () => {
  const record = aRecord();
  const gate = { step: "ev1-torque" as StepId, gate: "bolts" as GateId };
  record.tap("tablet-1", { kind: "gate.count-reported", ...gate, count: 4 });
  const wrong = record.tap("tablet-1", { kind: "gate.count-reported", ...gate, count: 1 });
  record.tap("tablet-1", withdrawn(wrong));
  expect(fold(record).steps[gate.step]?.gates[gate.gate]).toMatchObject({
    state: "open",
    reports: [{ value: 4 }],
  });
});

test("[withdraw-entry 2] withdrawing a hold releases it; withdrawing a release raises it again", () => {
  const record = aRecord();
  const hold = record.tap("desk", everyonesHold);
  const id = holdIdOf(hold);
  const release = record.tap("desk", { kind: "hold.released", hold: id });
  expect(fold(record).phase).toBe("under-way");
  record.tap("desk", withdrawn(release));
  expect(fold(record).holds[id]).toMatchObject({ state: "raised", releasedAtMs: null });
  expect(fold(record).phase).toBe("holding");
  record.tap("desk", withdrawn(hold));
  expect(fold(record).holds[id]?.state).toBe("released");
  expect(fold(record).phase).toBe("under-way");
});

test("[withdraw-entry 1] notes, sightings, checks and requests are taken out; the log keeps them", () => {
  const record = aRecord();
  const tapped = record.tap("reader", note("wrong"));
  const before = fold(record).log.length;
  record.tap("reader", withdrawn(tapped));
  const state = fold(record);
  expect(state.notes).toEqual([]);
  expect(state.log.length).toBe(before + 1);
});

test("[withdraw-entry 4] [note-variance 2] variances of a withdrawn entry stay; it is withdrawn once", () => {
  const record = aRecord();
  const tapped = record.tap("tablet-1", started("ev1-meet"));
  record.tap("tablet-1", withdrawn(tapped));
  record.tap("tablet-1", withdrawn(tapped));
  const state = fold(record);
  expect(causes(state)).toEqual(["out-of-order"]);
  expect(outcomes(state, 3)).toEqual(["withdrawn", "applied", "no-effect"]);
  expect(state.steps["ev1-meet" as StepId]?.state).toBe("standing-by");
});

test("[withdraw-entry 1] a mis-tapped terminate can be taken back", () => {
  const record = aRecord();
  record.tap("desk", everyonesHold);
  const tapped = record.tap("tablet-1", { kind: "run.terminated", reason: "" });
  expect(fold(record).phase).toBe("terminating");
  const startedAtMs = fold(record).startedAtMs;
  record.tap("desk", withdrawn(tapped));
  expect(fold(record).phase).toBe("holding");
  expect(fold(record).startedAtMs).toBe(startedAtMs);
});

test("[withdraw-entry 3] a real stop can't be taken back, nor an opening, nor a letter", () => {
  const record = aRecord();
  const stop = record.tap("wall", { kind: "run.real-stop-called", reason: "diver" });
  record.tap("wall", withdrawn(stop));
  record.tap("desk", withdrawn({ device: "desk" as DeviceId, seq: 1 }));
  record.tap("desk", withdrawn({ device: "desk" as DeviceId, seq: 2 }));
  const state = fold(record);
  expect(state.phase).toBe("real-stop");
  expect(outcomes(state, 3)).toEqual(["no-effect", "no-effect", "no-effect"]);
});

test("[rights 2] others' entries may be withdrawn by a director only", () => {
  const record = aRecord();
  const tapped = record.tap("tablet-1", started("ev1-to-rack"));
  record.tap("reader", withdrawn(tapped));
  expect(causes(fold(record))).toEqual(["beyond-rights"]);
  expect(fold(record).steps["ev1-to-rack" as StepId]?.state).toBe("working");
  record.tap("desk", withdrawn(tapped));
  expect(fold(record).steps["ev1-to-rack" as StepId]?.state).toBe("clear");
});

test("[fold-phases 1] a real stop counts from a device that nobody let in, and stops every step", () => {
  const record = aRecord();
  record.addDevice("stranger");
  record.tap("stranger", { kind: "run.real-stop-called", reason: "smoke" });
  record.tap("tablet-1", { kind: "run.real-stop-acknowledged" });
  const state = fold(record);
  expect(state.phase).toBe("real-stop");
  expect(state.realStop).toMatchObject({ reason: "smoke", acknowledgedBy: ["tablet-1"] });
  expect(causes(state)).toEqual([]);
  record.tap("tablet-1", started("ev1-to-rack"));
  expect(fold(record).variances.at(-1)?.blocks).toEqual([{ on: "phase", phase: "real-stop" }]);
  record.tap("desk", { kind: "run.resumed", reason: "clear" });
  expect(fold(record)).toMatchObject({ phase: "under-way", realStop: null });
});

test("[run 2] what a director does within a real stop shows when the run resumes", () => {
  const record = aRecord();
  record.tap("wall", { kind: "run.real-stop-called", reason: "smoke" });
  record.tap("desk", { kind: "run.closing-started" });
  expect(fold(record).phase).toBe("real-stop");
  expect(causes(fold(record))).toEqual(["out-of-order"]);
  record.tap("desk", { kind: "run.resumed", reason: "clear" });
  expect(fold(record).phase).toBe("closing");
});

test("[fold-phases 2] the phases follow each other, and what is skipped is a variance", () => {
  const record = aRecord();
  record.tap("desk", { kind: "run.terminated", reason: "time" });
  record.tap("desk", { kind: "run.aborted", reason: "time" });
  expect(fold(record).phase).toBe("aborting");
  expect(causes(fold(record))).toEqual([]);
  record.tap("desk", { kind: "run.closed" });
  const state = fold(record);
  expect(state.phase).toBe("closed");
  expect(causes(state)).toEqual(["out-of-order"]);
  expect(state.closedAtMs).toBe(record.nowMs());
});

test("[admit-devices 1] the device that the run's id names is a director, whoever claims to have opened it before", () => {
  const record = anEmptyRecord();
  record.addDevice("desk");
  record.addDevice("other");
  record.tap("other", opening);
  record.tap("desk", opening);
  const state = fold(record);
  expect(Object.keys(state.devices)).toEqual(["desk"]);
  expect(outcomes(state, 2)).toEqual(["set-aside", "applied"]);
});

test("[admit-devices 2] a letter counts from a director only, and a director's director counts", () => {
  const record = aRecord();
  const second = record.addDevice("second-desk");
  const third = record.addDevice("third");
  record.tap("reader", aJoining(second, "director", "Forged"));
  expect(fold(record).devices["second-desk" as DeviceId]).toBeUndefined();
  record.tap("desk", aJoining(second, "director", "Second desk"));
  record.tap("second-desk", aJoining(third, "crew", "Third"));
  expect(fold(record).devices["third" as DeviceId]).toMatchObject({ role: "crew", name: "Third" });
});

test("[admit-devices 2] a device can't let itself in", () => {
  const record = aRecord();
  const intruder = record.addDevice("intruder");
  record.tap("intruder", aJoining(intruder, "director", "Intruder"));
  record.tap("intruder", { kind: "run.closed" });
  const state = fold(record);
  expect(state.phase).toBe("under-way");
  expect(outcomes(state, 2)).toEqual(["set-aside", "set-aside"]);
});

test("[admit-devices 3] what a device wrote before it was let in counts once it is", () => {
  const record = aRecord();
  const late = record.addDevice("late", "ev1");
  record.tap("late", started("ev1-to-rack"));
  expect(outcomes(fold(record), 1)).toEqual(["set-aside"]);
  record.tap("desk", aJoining(late, "crew", "Late"));
  expect(outcomes(fold(record), 2)).toEqual(["applied", "applied"]);
  expect(causes(fold(record))).toEqual([]);
});

test("[admit-devices 3] the last joining before an entry decides", () => {
  const record = aRecord();
  const tablet = record.devices.get("tablet-1");
  if (tablet === undefined) throw new Error("tablet-1 is one of the usual devices");
  record.tap("tablet-1", started("ev1-to-rack"));
  record.tap("desk", aJoining(tablet, "observer", "Tablet 1"));
  record.tap("tablet-1", done("ev1-to-rack"));
  const state = fold(record);
  expect(outcomes(state, 3)).toEqual(["applied", "applied", "set-aside"]);
  expect(state.devices["tablet-1" as DeviceId]?.role).toBe("observer");
});

test("[admit-devices 4] what a struck-off device writes is set aside until it joins again", () => {
  const record = aRecord();
  const tablet = record.devices.get("tablet-1");
  if (tablet === undefined) throw new Error("tablet-1 is one of the usual devices");
  const struckOff = { kind: "device.struck-off", struckOff: tablet.id, reason: "lost" } as const;
  record.tap("tablet-1", started("ev1-to-rack"));
  record.tap("desk", struckOff);
  record.tap("tablet-1", done("ev1-to-rack"));
  expect(fold(record).devices[tablet.id]?.struckOffAtMs).not.toBeNull();
  expect(fold(record).steps["ev1-to-rack" as StepId]?.state).toBe("working");
  record.tap("desk", aJoining(tablet, "crew", "Found"));
  record.tap("tablet-1", done("ev1-to-rack"));
  const state = fold(record);
  expect(outcomes(state, 5)).toEqual(["applied", "applied", "set-aside", "applied", "applied"]);
  expect(state.devices[tablet.id]?.struckOffAtMs).toBeNull();
});

const inject = "lost-loop" as InjectId;
const fired: EntryBody = {
  kind: "inject.fired",
  inject,
  name: "Lost loop",
  card: "No voice.",
  shownTo: ["ev1" as PositionId],
};

test("[fold-injects 1] an inject from armed to cleared has no variance", () => {
  const record = aRecord();
  record.tap("desk", { kind: "inject.armed", inject, trigger: { byHand: true } });
  record.tap("desk", fired);
  record.tap("tablet-1", { kind: "inject.responded", inject, text: "Hand signals." });
  record.tap("desk", { kind: "inject.graded", inject, grade: "met", remark: "Calm." });
  record.tap("desk", { kind: "inject.cleared", inject });
  const state = fold(record);
  expect(causes(state)).toEqual([]);
  expect(state.injects[inject]).toMatchObject({
    state: "cleared",
    name: "Lost loop",
    grade: "met",
    remark: "Calm.",
    responses: [{ position: "ev1", text: "Hand signals." }],
  });
});

test("[fold-injects 1] an inject's stand-in and the inject fold to the same inject once it is live", () => {
  const record = aRecord();
  record.tap("desk", { kind: "inject.armed", inject, trigger: { byHand: true } });
  const armedAt = record.entries.length - 1;
  record.tap("desk", fired);
  const asCrew = record.entries.map((entry, place) => {
    const standIn: EntryBody = { kind: "entry.withheld", digest: "0".repeat(64) };
    return place === armedAt ? { ...entry, body: standIn } : entry;
  });
  const crewState = foldRun(index, orderEntries(asCrew).ordered);
  expect(crewState.injects).toEqual(fold(record).injects);
  expect(crewState.log[armedAt]?.outcome).toBe("no-effect");
});

test("[fold-injects 1] grading or answering what is not live is a variance and is kept", () => {
  const record = aRecord();
  record.tap("desk", { kind: "inject.graded", inject, grade: "met", remark: "" });
  record.tap("reader", { kind: "inject.responded", inject, text: "What?" });
  const state = fold(record);
  expect(causes(state)).toEqual(["out-of-order", "out-of-order"]);
  expect(state.injects[inject]?.state).toBe("responded");
});

test("[withdraw-entry 1] an inject fired by mistake goes back to armed; one that is nothing but fired goes", () => {
  const record = aRecord();
  const tapped = record.tap("desk", fired);
  record.tap("desk", withdrawn(tapped));
  expect(fold(record).injects).toEqual({});
  record.tap("desk", { kind: "inject.armed", inject, trigger: { byHand: true } });
  const again = record.tap("desk", fired);
  record.tap("desk", withdrawn(again));
  expect(fold(record).injects[inject]).toMatchObject({ state: "armed", card: "", liveAtMs: null });
});

test("[fold-holds 3] releasing a hold that nobody raised is a variance, a second release is none", () => {
  const record = aRecord();
  record.tap("desk", { kind: "hold.released", hold: "desk:99" as HoldId });
  expect(causes(fold(record))).toEqual(["out-of-order"]);
  const hold = holdIdOf(record.tap("desk", everyonesHold));
  record.tap("desk", { kind: "hold.released", hold });
  record.tap("desk", { kind: "hold.released", hold });
  expect(outcomes(fold(record), 2)).toEqual(["applied", "no-effect"]);
  expect(causes(fold(record))).toEqual(["out-of-order"]);
});

test("[hold-id] a hold's id gives back the entry that raised it", () => {
  const name = { device: "desk" as DeviceId, seq: 12 };
  expect(holdRaisedBy(holdIdOf(name))).toEqual(name);
  for (const text of ["desk", "desk:", ":1", "desk:0", "desk:01", "desk:1e3", "desk:-1"]) {
    expect(holdRaisedBy(text as HoldId)).toBeUndefined();
  }
});
