// The record as CSV: one row an entry, in the record's order.
//
// [record-csv 1] The text is as RFC 4180 has it: a header, CRLF after every row, and fields with a
//   comma, a quote or a line break in quotes, with quotes doubled.
// [record-csv 2] A text that a spreadsheet would take for a formula has an apostrophe before it:
//   what somebody typed in a run must not act on the desk of whoever opens the file.
// [record-csv 3] Every entry of the log has one row.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Entry } from "../record/entry.ts";
import type { LogLine, RunState } from "../record/run-state.ts";
import { deviceName, entryDetail } from "./entry-words.ts";
import { formatPet } from "./format-time.ts";
import { outcomeWords, positionName, varianceCauseWords } from "./words.ts";

/** The columns, in order. */
export const recordCsvColumns = [
  "time (UTC)",
  "PET",
  "device",
  "device id",
  "seq",
  "position",
  "kind",
  "step",
  "step text",
  "detail",
  "outcome",
  "variances",
  "time good to (ms)",
] as const;

/**
 * The CSV text of a run.
 *
 * @param isoTime milliseconds since 1970 as an ISO 8601 text; it comes in because machines hold no
 *   calendar
 * Errors: none.
 * Source: RFC 4180, section 2. Checked in tests/unit/machines/views/record-csv.test.ts
 */
export function recordCsv(
  index: ProcedureIndex,
  entries: readonly Entry[],
  state: RunState,
  isoTime: (ms: number) => string,
): string {
  const entriesByName = new Map(entries.map((entry) => [`${entry.device}:${entry.seq}`, entry]));
  const rows = state.log.map((line) => {
    const entry = entriesByName.get(`${line.by.device}:${line.by.seq}`);
    const detail = entry === undefined ? "" : entryDetail(index, state, entry.body);
    return [isoTime(line.atMs), ...rowOf(index, state, line, detail)];
  });
  return csvText([recordCsvColumns, ...rows]);
}

/** Rows as a CSV text. Source: RFC 4180, section 2. */
export function csvText(rows: readonly (readonly string[])[]): string {
  return rows.map((row) => `${row.map(csvField).join(",")}\r\n`).join("");
}

function rowOf(
  index: ProcedureIndex,
  state: RunState,
  line: LogLine,
  detail: string,
): readonly string[] {
  const step = line.step === null ? undefined : index.stepsById.get(line.step);
  const variances = state.variances
    .filter((variance) => variance.by.device === line.by.device && variance.by.seq === line.by.seq)
    .map((variance) => varianceCauseWords[variance.cause]);
  return [
    state.startedAtMs === null ? "" : formatPet((line.atMs - state.startedAtMs) / 1000),
    deviceName(state, line.by.device),
    line.by.device,
    String(line.by.seq),
    line.position === null ? "" : positionName(index, line.position),
    line.kind,
    line.step ?? "",
    step?.text ?? "",
    detail,
    outcomeWords[line.outcome],
    variances.join(" "),
    line.errorMs === null ? "never checked" : String(Math.ceil(line.errorMs)),
  ];
}

function csvField(text: string): string {
  // A time before the start, "-0:00:10", and a figure below zero, "-120 ms", are no formulas.
  const isFigure = /^-[\d.:]+( [a-zA-Z·%°/]+)?$/.test(text);
  const isFormula = /^[-=+@\t\r]/.test(text) && !isFigure;
  const safe = isFormula ? `'${text}` : text;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
