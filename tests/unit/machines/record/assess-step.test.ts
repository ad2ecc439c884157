// What is in the way of calling a step done.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { BranchId, GateId, PositionId, StepId } from "../../../../machines/procedure/ids.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { holdIdOf } from "../../../../machines/record/hold-id.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import type { Block } from "../../../../machines/record/run-state.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRecord } from "../../../support/a-record.ts";

const index = indexProcedure(aProcedure());
const step = "ev1-torque" as StepId;
const bolts = { on: "gate", gate: "bolts" } as const;
const choice = { on: "choice" } as const;

test("[assess-step 2] before done: the phase, gates before done, the choice, holds; no more", () => {
  const record = aRecord();
  const check = (...blocks: object[]): void => {
    const inRun = foldRun(index, orderEntries(record.entries).ordered).steps[step];
    expect(inRun?.state).toBe("working");
    expect(inRun?.blocks).toEqual(blocks);
  };
  // It was started before its turn, with conditions, gates and a window against it: all that is
  // past, and no bar to its being done.
  record.tap("tablet-1", { kind: "step.started", step }, { afterMs: 3_600_000 });
  check(bolts, choice);
  const lane = "ev1" as PositionId;
  const scope = { covers: "lane", lane } as const;
  const name = record.tap("desk", { kind: "hold.raised", scope, reason: "test", inject: null });
  const hold: Block = { on: "hold", hold: holdIdOf(name) };
  check(bolts, choice, hold);
  record.tap("desk", { kind: "run.closing-started" });
  const phase: Block = { on: "phase", phase: "closing" };
  check(phase, bolts, choice, hold);
  record.tap("tablet-1", {
    kind: "gate.count-reported",
    step,
    gate: bolts.gate as GateId,
    count: 4,
  });
  check(phase, choice, hold);
  record.tap("tablet-1", { kind: "branch.chosen", step, branch: "all-turned" as BranchId });
  check(phase, hold);
  record.tap("desk", { kind: "hold.released", hold: hold.hold });
  check(phase);
});

test("[assess-step 2] another lane's hold and another step's gates are not in the way", () => {
  const record = aRecord();
  const scope = { covers: "lane", lane: "ev2" as PositionId } as const;
  record.tap("desk", { kind: "hold.raised", scope, reason: "test", inject: null });
  record.tap("tablet-1", { kind: "step.started", step: "ev1-to-rack" as StepId });
  const { steps } = foldRun(index, orderEntries(record.entries).ordered);
  expect(steps["ev1-to-rack" as StepId]).toMatchObject({ state: "working", blocks: [] });
});
