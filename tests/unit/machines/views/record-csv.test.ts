// The export against a parser written for this test from the grammar of RFC 4180, section 2 (ABNF):
//
//   file    = [header CRLF] record *(CRLF record) [CRLF]
//   record  = field *(COMMA field)
//   field   = (escaped / non-escaped)
//   escaped = DQUOTE *(TEXTDATA / COMMA / CR / LF / 2DQUOTE) DQUOTE
//   non-escaped = *TEXTDATA        TEXTDATA: no control, comma or quote
// (The grammar is given from memory.) Letters beyond ASCII count as TEXTDATA here, as the charset
// parameter of text/csv allows.

import { array, assert, constantFrom, property, string } from "fast-check";
import { expect, test } from "vitest";
import type { StepId } from "../../../../machines/procedure/ids.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import type { RunId } from "../../../../machines/record/ids.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { csvText, recordCsv, recordCsvColumns } from "../../../../machines/views/record-csv.ts";
import { recordJson } from "../../../../machines/views/record-json.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRecord } from "../../../support/a-record.ts";
import { aRun } from "../../../support/a-run.ts";

const index = indexProcedure(aProcedure());
const isoTime = (ms: number) => `at ${ms}`;

test("[record-csv 1] the examples of RFC 4180, section 2, are written as they stand there", () => {
  // Rules 1, 5, 6 and 7 of the section, by memory: quotes only where they are needed.
  expect(csvText([["aaa", "bbb", "ccc"]])).toBe("aaa,bbb,ccc\r\n");
  expect(csvText([["aaa", "b\r\nbb", "ccc"]])).toBe('aaa,"b\r\nbb",ccc\r\n');
  expect(csvText([["aaa", 'b"bb', "ccc"]])).toBe('aaa,"b""bb",ccc\r\n');
  expect(csvText([["a,b"], [""]])).toBe('"a,b"\r\n\r\n');
});

test("[record-csv 1] any fields come back from a parser of the grammar", () => {
  const field = string({ unit: constantFrom("a", "ä", " ", ",", '"', "\r", "\n", "1") }).filter(
    (text) => !/^[-=+@\t\r]/.test(text),
  );
  const rows = array(array(field, { minLength: 2, maxLength: 4 }), { minLength: 1 });
  assert(
    property(rows, (some) => {
      expect(parseCsv(csvText(some))).toEqual(some);
    }),
  );
});

function check(text: string, written: string): void {
  expect(parseCsv(csvText([[text]]))).toEqual([[written]]);
}

test("[record-csv 2] no field begins as a formula does; figures and times stay as they are", () => {
  check("=1+1", "'=1+1");
  check("@sum", "'@sum");
  check("+49", "'+49");
  check("-2+cmd", "'-2+cmd");
  check("\tx", "'\tx");
  check("-0:00:10", "-0:00:10");
  check("-120 ms", "-120 ms");
  check("29.5 kPa", "29.5 kPa");
});

test("[record-csv 3] a run has its header and one row for each entry, in order", () => {
  const record = aRecord();
  record.tap("tablet-1", { kind: "step.started", step: "ev1-to-rack" as StepId }, { afterMs: 0 });
  record.tap("tablet-2", {
    kind: "note.added",
    text: 'Said "go",\nthen',
    step: null,
    oddity: true,
  });
  const state = foldRun(index, orderEntries(record.entries).ordered);
  const [header, ...rows] = parseCsv(recordCsv(index, record.entries, state, isoTime));
  expect(header).toEqual([...recordCsvColumns]);
  expect(rows).toHaveLength(record.entries.length);
  expect(rows.at(-2)?.slice(1, 9)).toEqual([
    "0:00:00",
    "tablet-1",
    "tablet-1",
    "1",
    "EV1",
    "step.started",
    "ev1-to-rack",
    "Go to the rack.",
  ]);
  expect(rows.at(-1)?.[9]).toBe('Oddity: Said "go",\nthen');
  expect(rows[0]?.[0]).toBe("at 1060000");
  expect(rows[0]?.[12]).toBe("never checked");
});

test("[record-csv 3] a random run parses to as many rows as it has log lines", () => {
  for (const seed of [1, 2, 3]) {
    const entries = aRun({ procedure: aProcedure(), seed, taps: 300, isChained: false });
    const state = foldRun(index, orderEntries(entries).ordered);
    const rows = parseCsv(recordCsv(index, entries, state, isoTime));
    expect(rows, `seed ${seed}`).toHaveLength(state.log.length + 1);
    expect(new Set(rows.map((row) => row.length)), `seed ${seed}`).toEqual(new Set([13]));
  }
});

test("the JSON export has the same bytes whatever the order of arrival, and reads back", () => {
  const entries = aRun({ procedure: aProcedure(), seed: 7, taps: 200, isChained: false });
  const of = (some: typeof entries) =>
    recordJson("run-1" as RunId, some, foldRun(index, orderEntries(some).ordered));
  const text = of(entries);
  expect(of(entries.toReversed())).toBe(text);
  const read = JSON.parse(text) as { format: string; entries: unknown[]; state: unknown };
  expect(read.format).toBe("lanehold.record");
  expect(read.entries).toHaveLength(entries.length);
  expect(read.state).toEqual(foldRun(index, orderEntries(entries).ordered));
});

// One character after the other, by the grammar above; anything else is an error.
function parseCsv(text: string): string[][] {
  const rows: string[][] = [];
  let at = 0;
  while (at < text.length) {
    const row: string[] = [];
    for (;;) {
      const [field, next] = text[at] === '"' ? parseEscaped(text, at) : parsePlain(text, at);
      row.push(field);
      at = next;
      if (text[at] !== ",") break;
      at += 1;
    }
    rows.push(row);
    if (at < text.length && text.slice(at, at + 2) !== "\r\n") throw new Error(`No CRLF at ${at}`);
    at += 2;
  }
  return rows;
}

function parseEscaped(text: string, from: number): [string, number] {
  let field = "";
  let at = from + 1;
  for (;;) {
    if (at >= text.length) throw new Error("A quote is not closed");
    if (text[at] === '"' && text[at + 1] === '"') {
      field += '"';
      at += 2;
    } else if (text[at] === '"') {
      return [field, at + 1];
    } else {
      field += text[at];
      at += 1;
    }
  }
}

function parsePlain(text: string, from: number): [string, number] {
  let at = from;
  while (at < text.length && !/[,"\r\n]/.test(text[at] ?? "")) at += 1;
  return [text.slice(from, at), at];
}
