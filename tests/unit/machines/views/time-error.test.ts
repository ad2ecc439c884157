import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import type { RunState } from "../../../../machines/record/run-state.ts";
import {
  recordTimeWords,
  timeErrors,
  timeErrorWords,
} from "../../../../machines/views/time-error.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRecord } from "../../../support/a-record.ts";
import type { RecordInWriting } from "../../../support/a-record.ts";

const index = indexProcedure(aProcedure());
const stateOf = (record: RecordInWriting): RunState =>
  foldRun(index, orderEntries(record.entries).ordered);

function check(errorMs: number | null, words: string): void {
  expect(timeErrorWords(errorMs)).toBe(words);
}

test("[time-error 1] an error is rounded up, in the unit that a person reads", () => {
  check(40, "times good to 40 ms");
  check(40.1, "times good to 41 ms");
  check(1_001, "times good to 1.1 s");
  check(120_001, "times good to 3 min");
  check(null, "clock never checked against the hub");
});

test("[time-error 1] a record says the worst of what was checked, and who was not", () => {
  const record = aRecord();
  expect(recordTimeWords(stateOf(record))).toContain("No clock was ever checked");
  // The desk wrote first at 1,060,000 ms: so far from its sample, drift adds 0.1 ms a second.
  const desk = record.tap("desk", { kind: "clock.sampled", offsetMs: 0, roundTripMs: 80 });
  const sinceFirstMs = record.nowMs() - 1_060_000;
  const worstMs = 40 + Math.ceil(sinceFirstMs / 10_000);
  record.tap("tablet-2", { kind: "note.added", text: "x", step: null, oddity: false });
  const state = stateOf(record);
  expect(timeErrors(state.log).get(desk.device)).toBe(worstMs);
  expect(recordTimeWords(state)).toBe(
    `Times are good to ${worstMs} ms; clock never checked: tablet-2.`,
  );
});
