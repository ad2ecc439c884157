// Variances of one entry: one of each cause, with all that was in the way.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { GateId, PositionId, StepId } from "../../../../machines/procedure/ids.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { holdIdOf } from "../../../../machines/record/hold-id.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRecord } from "../../../support/a-record.ts";
import type { RecordInWriting } from "../../../support/a-record.ts";
import { aRun } from "../../../support/a-run.ts";

const procedure = aProcedure();
const index = indexProcedure(procedure);
const step = "ev1-torque" as StepId;

const variancesOf = (record: RecordInWriting) =>
  foldRun(index, orderEntries(record.entries).ordered).variances;

test("[note-variance 1] no entry of a random run has two variances of one cause", () => {
  fc.assert(
    fc.property(fc.integer(), (seed) => {
      const entries = aRun({ procedure, seed, taps: 200, isChained: false });
      const { variances } = foldRun(index, orderEntries(entries).ordered);
      const names = variances.map(({ by, cause }) => `${by.device}:${by.seq} ${cause}`);
      expect(new Set(names).size).toBe(names.length);
    }),
    { numRuns: 40 },
  );
});

test("[note-variance 1] a step against all at once names everything, by its cause", () => {
  const record = aRecord();
  const scope = { covers: "lane", lane: "ev1" as PositionId } as const;
  const raised = { kind: "hold.raised", scope, reason: "test", inject: null } as const;
  const [first, second] = [record.tap("desk", raised), record.tap("desk", raised)];
  const by = record.tap("tablet-1", { kind: "step.started", step }, { hears: ["desk"] });
  const third = record.tap("desk", raised);
  record.tap("tablet-1", { kind: "step.done", step }, { hears: "nobody" });
  const variances = variancesOf(record);
  const ofStart = variances.filter((variance) => variance.by.seq === by.seq);
  expect(ofStart).toMatchObject([
    {
      cause: "out-of-order",
      blocks: [
        { on: "step", step: "ev1-meet" },
        { on: "step", step: "iv-power-off" },
        { on: "condition", says: "Heater power must be off" },
      ],
    },
    {
      cause: "hold-seen",
      blocks: [
        { on: "hold", hold: holdIdOf(first) },
        { on: "hold", hold: holdIdOf(second) },
      ],
    },
    {
      cause: "gate-closed",
      blocks: [
        { on: "gate", gate: "warning-1" },
        { on: "gate", gate: "go" },
      ],
    },
  ]);
  const ofDone = variances.filter((variance) => variance.by.seq === by.seq + 1);
  expect(ofDone.map(({ cause }) => cause).toSorted()).toEqual([
    "gate-closed",
    "hold-not-seen",
    "hold-seen",
    "out-of-order",
  ]);
  expect(ofDone.find(({ cause }) => cause === "hold-not-seen")?.blocks).toEqual([
    { on: "hold", hold: holdIdOf(third) },
  ]);
});

test("[note-variance 1] what is noted of one cause in two places is one variance", () => {
  const record = aRecord();
  record.tap("desk", { kind: "run.closing-started" });
  record.tap("desk", { kind: "run.closed" });
  // It is out of order both because the run is closed and because there is no such gate.
  record.tap("reader", { kind: "gate.acknowledged", step, gate: "no-such" as GateId });
  expect(variancesOf(record)).toMatchObject([
    {
      cause: "out-of-order",
      kind: "gate.acknowledged",
      blocks: [{ on: "phase", phase: "closed" }],
    },
  ]);
});

test("[note-variance 1] what was in the way is named once, though two rules meet it", () => {
  const record = aRecord();
  record.tap("desk", { kind: "run.closed" });
  const late = record.tap("desk", { kind: "run.aborted", reason: "test" });
  const [variance] = variancesOf(record).filter(({ by }) => by.seq === late.seq);
  expect(variance?.blocks).toEqual([{ on: "phase", phase: "closed" }]);
});
