// The run as a whole: what is said twice, and what opens it.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { Identity } from "../../../../machines/procedure/ids.ts";
import type { EntryBody } from "../../../../machines/record/entry.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { corroborationMsMax } from "../../../../machines/record/run-in-fold.ts";
import type { RunState } from "../../../../machines/record/run-state.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aJoining, anEmptyRecord, aRecord, opening } from "../../../support/a-record.ts";
import type { RecordInWriting } from "../../../support/a-record.ts";

const index = indexProcedure(aProcedure());
const fold = (record: RecordInWriting): RunState =>
  foldRun(index, orderEntries(record.entries).ordered);

const started: EntryBody = { kind: "run.started" };
const closing: EntryBody = { kind: "run.closing-started" };

// Each saying with what has to be said before it, so that it is in order.
const sayings: readonly (readonly [body: EntryBody, before: readonly EntryBody[]])[] = [
  [started, []],
  [{ kind: "run.terminated", reason: "time" }, [started]],
  [{ kind: "run.aborted", reason: "time" }, [started]],
  [closing, [started]],
  [{ kind: "run.closed" }, [started, closing]],
];
const cases = sayings.map(([body, before]) => ({ kind: body.kind, body, before }));
type Case = (typeof cases)[number];

function aRecordThatSays({ body, before }: Case): RecordInWriting {
  const record = anEmptyRecord();
  record.addDevice("desk");
  record.tap("desk", opening);
  record.tap("desk", aJoining(record.addDevice("second-desk"), "director", "Second desk"));
  for (const said of [...before, body]) record.tap("desk", said);
  expect(fold(record).log.at(-1)?.outcome).toBe("applied");
  expect(fold(record).variances).toEqual([]);
  return record;
}

// All of a run but what tells of its entries one by one.
function withoutEntries(record: RecordInWriting): Partial<RunState> {
  const { log: _log, variances: _variances, ...rest } = fold(record);
  return rest;
}

test.each(cases)("[fold-phases 3] $kind said again within 30 s corroborates", (said) => {
  const record = aRecordThatSays(said);
  const before = withoutEntries(record);
  record.tap("second-desk", said.body, { afterMs: corroborationMsMax });
  const { variances, log } = fold(record);
  expect(variances).toEqual([]);
  expect(log.at(-1)?.outcome).toBe("no-effect");
  expect(withoutEntries(record)).toEqual(before);
});

test.each(cases)("[fold-phases 3] $kind said again later is done twice, to no effect", (said) => {
  const record = aRecordThatSays(said);
  const before = withoutEntries(record);
  record.tap("second-desk", said.body, { afterMs: corroborationMsMax + 1 });
  const { variances, log } = fold(record);
  expect(variances).toMatchObject([{ cause: "done-twice", kind: said.kind, blocks: [] }]);
  expect(log.at(-1)?.outcome).toBe("no-effect");
  expect(withoutEntries(record)).toEqual(before);
});

test("[fold-phases 4] a director's further opening is out of order and opens nothing", () => {
  const record = aRecord();
  const before = withoutEntries(record);
  const again = { ...opening, title: "Another", procedure: "b".repeat(64) as Identity };
  record.tap("desk", again);
  const { variances, log } = fold(record);
  expect(variances.map(({ cause }) => cause)).toEqual(["out-of-order"]);
  expect(log.at(-1)?.outcome).toBe("no-effect");
  expect(withoutEntries(record)).toEqual(before);
  expect(before).toMatchObject({ title: "Rehearsal", phase: "under-way" });
});
