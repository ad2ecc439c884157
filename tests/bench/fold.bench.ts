// How long order and fold take for 50,000 entries, against JSON.parse and one sort of the same; and
// what one late entry, and one tap, cost a record that is already there.
//
// Workload: a random run of the six-hour demo by 35 devices, 50,000 entries: its steps and gates, many
// repeated by several devices, then notes and clock samples, one in twenty of them a stray tap. Digests
// are not chained. Left out of the timing: making the entries, their text, one round of warming up.
// Each way is timed in turn, five rounds; medians are compared. A late entry is one step's start that
// arrives when so many others, later in the order, are there; each is timed with and without the
// state that screens read. README.md says more.
//
// To run: npm run bench -- tests/bench/fold.bench.ts

import { readFileSync } from "node:fs";
import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import { entryText } from "../../machines/record/digest-entry.ts";
import type { Entry } from "../../machines/record/entry.ts";
import { foldRun } from "../../machines/record/fold-run.ts";
import { orderEntries } from "../../machines/record/order-entries.ts";
import {
  addEntries,
  emptyRunningRecord,
  stateOfRecord,
} from "../../machines/record/running-record.ts";
import { aRun } from "../support/a-run.ts";

const entriesWanted = 50_000;
const rounds = 5;
const demoFile = "workers/hub/demo/petrel-deck.procedure.json";

main();

function main(): void {
  const procedure = JSON.parse(readFileSync(demoFile, "utf8")) as Procedure;
  const index = indexProcedure(procedure);
  const options = { procedure, seed: 2026, taps: entriesWanted, isChained: false, strays: 0.05 };
  const text = JSON.stringify(aRun({ ...options, spareDevicesPerLane: 6 }));
  const entries = JSON.parse(text) as Entry[];
  console.log(`${entries.length} entries, ${(text.length / 1e6).toFixed(1)} MB of text`);
  compareWays(index, entries, text);
  for (const places of [0, 100, 1_000, 5_000, 25_000]) timeLate(index, entries, places);
  timeTaps(index, entries.slice(0, 20_000));
}

function compareWays(index: ProcedureIndex, entries: readonly Entry[], text: string): void {
  const { ordered } = orderEntries(entries);
  const texts = (): number => entries.reduce((sum, entry) => sum + entryText(entry).length, 0);
  const [floorMs, ...others] = mediansOf([
    () => parseAndSort(text),
    () => orderEntries(entries),
    () => foldRun(index, ordered),
    () => foldAtOnce(index, entries),
    texts,
    () => entries.reduce((sum, entry) => sum + JSON.stringify(entry).length, 0),
  ]) as [number, number, number, number, number, number];
  console.log(`JSON.parse, map union and sort: ${floorMs.toFixed(1)} ms`);
  const names = ["order", "fold", "order and fold, running record", "canonical texts", "stringify"];
  for (const [place, name] of names.entries()) {
    const ms = others[place] ?? 0;
    console.log(`${name}: ${ms.toFixed(1)} ms, ratio ${(ms / floorMs).toFixed(2)}`);
  }
}

// The last entry of a device, held back until so many that come after it in the order are there.
function timeLate(index: ProcedureIndex, entries: readonly Entry[], places: number): void {
  const { ordered } = orderEntries(entries);
  const near = ordered
    .slice(0, ordered.length - places)
    .findLast(({ entry }) => entry.body.kind === "step.started")?.entry as Entry;
  // What the device wrote after it is left out, and nobody's `seen` is touched.
  const kept = entries.filter(({ device, seq }) => device !== near.device || seq < near.seq);
  const late = { ...near, seen: {} };
  const fullMs = median(repeat(() => timeOf(() => foldAtOnce(index, kept))));
  const lateMs: number[] = [];
  const stateMs: number[] = [];
  for (let round = 0; round <= rounds; round += 1) {
    const record = emptyRunningRecord(index);
    addEntries(record, kept);
    stateOfRecord(record);
    lateMs.push(timeOf(() => addEntries(record, [late])));
    stateMs.push(timeOf(() => stateOfRecord(record)));
  }
  const ms = median(lateMs.slice(1));
  console.log(
    `late by ${places} of ${kept.length} places: ${ms.toFixed(2)} ms, 1/${(fullMs / ms).toFixed(0)} of ` +
      `order and fold (${fullMs.toFixed(0)} ms); state ${median(stateMs.slice(1)).toFixed(2)} ms more`,
  );
}

function timeTaps(index: ProcedureIndex, entries: readonly Entry[]): void {
  const { ordered } = orderEntries(entries);
  const record = emptyRunningRecord(index);
  const taps = ordered.slice(-2_000).map(({ entry }) => entry);
  const tapped = new Set(taps);
  addEntries(
    record,
    entries.filter((entry) => !tapped.has(entry)),
  );
  const tapMs: number[] = [];
  const stateMs: number[] = [];
  for (const tap of taps) {
    tapMs.push(timeOf(() => addEntries(record, [tap])));
    stateMs.push(timeOf(() => stateOfRecord(record)));
  }
  console.log(
    `a tap at the end of ${entries.length}: median ${median(tapMs).toFixed(3)} ms, p99 ` +
      `${quantile(tapMs, 0.99).toFixed(3)} ms; state median ${median(stateMs).toFixed(3)} ms more`,
  );
}

function foldAtOnce(index: ProcedureIndex, entries: readonly Entry[]): unknown {
  const record = emptyRunningRecord(index);
  addEntries(record, entries);
  return stateOfRecord(record);
}

function parseAndSort(text: string): Entry[] {
  const parsed = JSON.parse(text) as Entry[];
  const union = new Map(parsed.map((entry) => [`${entry.device}:${entry.seq}`, entry]));
  return [...union.values()].sort((a, b) => a.wallMs - b.wallMs || (a.device < b.device ? -1 : 1));
}

function mediansOf(ways: readonly (() => unknown)[]): number[] {
  const times = ways.map(() => [] as number[]);
  for (let round = 0; round <= rounds; round += 1) {
    for (const [place, way] of ways.entries()) {
      const ms = timeOf(way);
      if (round > 0) times[place]?.push(ms);
    }
  }
  return times.map(median);
}

function repeat(time: () => number): number[] {
  return Array.from({ length: rounds }, time);
}

function timeOf(way: () => unknown): number {
  const beganMs = performance.now();
  way();
  return performance.now() - beganMs;
}

function median(values: readonly number[]): number {
  return quantile(values, 0.5);
}

function quantile(values: readonly number[], at: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * at))] ?? 0;
}
