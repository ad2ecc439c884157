import { expect, test } from "vitest";
import type {
  CheckId,
  InjectId,
  PositionId,
  ReadingId,
  StepId,
} from "../../../../machines/procedure/ids.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { holdIdOf } from "../../../../machines/record/hold-id.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { plannedTimes } from "../../../../machines/time/planned-times.ts";
import { debriefView } from "../../../../machines/views/debrief-view.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRecord } from "../../../support/a-record.ts";
import type { RecordInWriting } from "../../../support/a-record.ts";
import { aRun } from "../../../support/a-run.ts";

const index = indexProcedure(aProcedure());
const ev1 = "ev1" as PositionId;

function debrief(record: RecordInWriting, entries = record.entries) {
  const state = foldRun(index, orderEntries(entries).ordered);
  const planned = plannedTimes(index);
  return debriefView({ index, planned, entries, state, nowMs: record.nowMs() });
}

function stepOf(record: RecordInWriting, id: string) {
  return debrief(record)
    .lanes.flatMap((lane) => lane.steps)
    .find((step) => step.step === id);
}

function start(record: RecordInWriting, id: string, afterMs = 0): void {
  record.tap("tablet-1", { kind: "step.started", step: id as StepId }, { afterMs });
}

function done(record: RecordInWriting, id: string, afterMs: number): void {
  record.tap("tablet-1", { kind: "step.done", step: id as StepId }, { afterMs });
}

test("[debrief-steps 1] every step in play has its row, in the lane's order", () => {
  const lanes = debrief(aRecord()).lanes.map((lane) => lane.steps.map((step) => step.step));
  expect(lanes).toEqual([
    ["ev1-to-rack", "ev1-swap-tether", "ev1-meet", "ev1-torque", "ev1-swap-back", "ev1-home"],
    ["ev2-to-rack", "ev2-meet", "ev2-seal", "ev2-home"],
    ["iv-power-off"],
  ]);
});

test("[debrief-steps 2] time worked, held time apart, is judged against 60 to 180 s", () => {
  const record = aRecord();
  start(record, "ev1-to-rack");
  const scope = { covers: "lane", lane: ev1 } as const;
  const held = record.tap(
    "desk",
    { kind: "hold.raised", scope, reason: "Wait", inject: null },
    { afterMs: 20_000 },
  );
  const hold = holdIdOf(held);
  record.tap("desk", { kind: "hold.released", hold }, { afterMs: 300_000 });
  done(record, "ev1-to-rack", 30_000);
  expect(stepOf(record, "ev1-to-rack")).toMatchObject({
    plannedStartSeconds: 0,
    startSeconds: 0,
    endSeconds: 350,
    heldSeconds: 300,
    workedSeconds: 50,
    verdict: { is: "shorter", bySeconds: 10 },
  });
});

test("[debrief-steps 2] within the range, and over it", () => {
  const record = aRecord();
  start(record, "ev1-to-rack");
  done(record, "ev1-to-rack", 180_000);
  expect(stepOf(record, "ev1-to-rack")?.verdict).toEqual({ is: "within" });
  const slow = aRecord();
  start(slow, "ev1-to-rack");
  done(slow, "ev1-to-rack", 200_000);
  expect(stepOf(slow, "ev1-to-rack")?.verdict).toEqual({ is: "longer", bySeconds: 20 });
});

test("[debrief-steps 3] a step called done without a start is not judged", () => {
  const record = aRecord();
  done(record, "ev1-to-rack", 10_000);
  expect(stepOf(record, "ev1-to-rack")).toMatchObject({ verdict: null, workedSeconds: null });
});

test("[debrief 1] a hold says who raised, acknowledged and released it, and when", () => {
  const record = aRecord();
  const scope = { covers: "lane", lane: ev1 } as const;
  const raised = { kind: "hold.raised", scope, reason: "Tether", inject: null } as const;
  const hold = holdIdOf(record.tap("reader", raised, { afterMs: 0 }));
  const lane = ev1;
  record.tap("tablet-1", { kind: "hold.acknowledged", hold, lane }, { afterMs: 12_000 });
  record.tap("desk", { kind: "hold.released", hold }, { afterMs: 48_000 });
  expect(debrief(record).holds).toEqual([
    expect.objectContaining({
      covers: "lane EV1",
      raisedBy: "IV (reader)",
      raisedSeconds: 0,
      acknowledgements: [{ name: "EV1", by: "EV1 (tablet-1)", afterSeconds: 12 }],
      missing: [],
      releasedBy: "Desk",
      lastedSeconds: 60,
    }),
  ]);
});

test("[debrief 1] a variance says its cause, and whether the device had seen the hold", () => {
  const record = aRecord();
  const scope = { covers: "everyone" } as const;
  record.tap("desk", { kind: "hold.raised", scope, reason: "Wait", inject: null });
  const step = "ev1-to-rack" as StepId;
  record.tap("tablet-1", { kind: "step.started", step }, { hears: "nobody" });
  record.tap("tablet-1", { kind: "step.done", step }, { hears: "everybody" });
  const texts = debrief(record).variances.map((variance) => `${variance.about} ${variance.text}`);
  expect(texts[0]).toContain("Step started: EV1 step 1");
  expect(texts[0]).toContain("this device had not seen the hold");
  expect(texts[1]).toContain("this device had seen the hold");
});

test("[debrief 1] notes, oddities, checks, injects, steps not done and devices are there", () => {
  const record = aRecord();
  const step = null;
  record.tap("tablet-1", { kind: "note.added", text: "Cold", step, oddity: false });
  record.tap("tablet-1", { kind: "note.added", text: "A click", step, oddity: true });
  const check = "suit-check" as CheckId;
  const readings = { ["suit-pressure" as ReadingId]: 26 };
  record.tap("tablet-2", { kind: "check.recorded", check, readings });
  const inject = "i" as InjectId;
  record.tap("desk", { kind: "inject.fired", inject, name: "Glove", card: "Cut.", shownTo: [ev1] });
  const deferred = "ev1-torque" as StepId;
  record.tap("tablet-1", { kind: "step.deferred", step: deferred, reason: "Bolt stuck" });
  const view = debrief(record);
  expect(view.notes.map((note) => note.text)).toEqual(["Cold"]);
  expect(view.oddities.map((note) => note.text)).toEqual(["A click"]);
  expect(view.checks[0]).toMatchObject({
    about: "EV2",
    text: "Suit check; Suit pressure 26 kPa (outside limits)",
  });
  expect(view.injects.map((one) => one.name)).toEqual(["Glove"]);
  expect(view.notDone).toHaveLength(11);
  expect(view.notDone.find((one) => one.name === "EV1 step 4")).toMatchObject({
    state: "deferred",
    reason: "Bolt stuck",
  });
  expect(view.times).toContain("No clock was ever checked");
  expect(view.devices.map(({ times }) => times)).toContain("clock never checked against the hub");
  expect(view.devices.map((device) => [device.name, device.entryCount])).toEqual([
    ["Desk", 7],
    ["reader", 0],
    ["tablet-1", 3],
    ["tablet-2", 1],
    ["wall", 0],
  ]);
});

test("[debrief 1] what was beyond its author's rights, or has no place, is listed as such", () => {
  const record = aRecord();
  record.tap("wall", { kind: "step.done", step: "ev1-to-rack" as StepId }, { position: "ev1" });
  record.tap("tablet-1", { kind: "note.added", text: "lost", step: null, oddity: false });
  record.tap("tablet-1", { kind: "note.added", text: "kept", step: null, oddity: false });
  const withGap = record.entries.filter(
    (entry) => !(entry.body.kind === "note.added" && entry.body.text === "lost"),
  );
  expect(debrief(record, withGap).setAside.map((fact) => [fact.about, fact.text])).toEqual([
    ["Step done: EV1 step 1", "Set aside"],
    ["Note", "No place in the order: an entry before it is missing, or two bear one number."],
  ]);
});

test("[debrief 1] two holds on everyone that overlap count each moment once", () => {
  const record = aRecord();
  const scope = { covers: "everyone" } as const;
  const raise = (afterMs: number) =>
    holdIdOf(
      record.tap("desk", { kind: "hold.raised", scope, reason: "x", inject: null }, { afterMs }),
    );
  const [first, second] = [raise(0), raise(10_000)];
  record.tap("desk", { kind: "hold.released", hold: first }, { afterMs: 10_000 });
  record.tap("desk", { kind: "hold.released", hold: second }, { afterMs: 10_000 });
  expect(debrief(record).totals.heldEveryoneSeconds).toBe(30);
});

test("[debrief 2] any order of arrival gives the same debrief; nothing of a random run breaks it", () => {
  for (const seed of [1, 2, 3, 4, 5, 6]) {
    const entries = aRun({ procedure: aProcedure(), seed, taps: 400, isChained: false });
    const planned = plannedTimes(index);
    const of = (some: typeof entries) => {
      const state = foldRun(index, orderEntries(some).ordered);
      return debriefView({ index, planned, entries: some, state, nowMs: 9_000_000 });
    };
    const view = of(entries);
    expect(of(entries.toReversed()), `seed ${seed}`).toEqual(view);
    expect(view.variances.length, `seed ${seed}`).toBeGreaterThan(0);
  }
});
