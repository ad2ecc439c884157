// Holds and the phase of the run.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { EntryBody, HoldScope } from "../../../../machines/record/entry.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { holdIdOf } from "../../../../machines/record/hold-id.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { anEmptyRecord, aRecord, opening } from "../../../support/a-record.ts";
import type { RecordInWriting } from "../../../support/a-record.ts";

const index = indexProcedure(aProcedure());
const everyone: HoldScope = { covers: "everyone" };

const phaseOf = (record: RecordInWriting): string =>
  foldRun(index, orderEntries(record.entries).ordered).phase;
const raised = (scope: HoldScope): EntryBody => ({
  kind: "hold.raised",
  scope,
  reason: "test",
  inject: null,
});

function release(record: RecordInWriting, hold: ReturnType<RecordInWriting["tap"]>): void {
  record.tap("desk", { kind: "hold.released", hold: holdIdOf(hold) });
}

test("[fold-holds 2] the run is holding until the last hold on everyone is released", () => {
  const record = aRecord();
  const first = record.tap("desk", raised(everyone));
  const second = record.tap("reader", raised(everyone));
  expect(phaseOf(record)).toBe("holding");
  release(record, first);
  expect(phaseOf(record)).toBe("holding");
  release(record, second);
  expect(phaseOf(record)).toBe("under-way");
});

test("[fold-holds 2] holds on every lane and on every task are not a hold on everyone", () => {
  const record = aRecord();
  for (const lane of index.lanes) record.tap("desk", raised({ covers: "lane", lane }));
  for (const task of index.stepsByTask.keys()) record.tap("desk", raised({ covers: "task", task }));
  expect(phaseOf(record)).toBe("under-way");
  record.tap("desk", raised(everyone));
  expect(phaseOf(record)).toBe("holding");
});

test("[fold-holds 2] an acknowledged hold on everyone stands; a run that starts on hold is holding", () => {
  const record = anEmptyRecord();
  record.addDevice("desk");
  record.tap("desk", opening);
  const hold = record.tap("desk", raised(everyone));
  expect(phaseOf(record)).toBe("briefing");
  record.tap("desk", { kind: "run.started" });
  expect(phaseOf(record)).toBe("holding");
  for (const lane of index.lanes)
    record.tap("desk", { kind: "hold.acknowledged", hold: holdIdOf(hold), lane });
  expect(phaseOf(record)).toBe("holding");
  release(record, hold);
  expect(phaseOf(record)).toBe("under-way");
});
