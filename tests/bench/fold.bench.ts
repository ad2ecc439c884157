// How long order and fold take for 50,000 entries, against JSON.parse and one sort of the same.
//
// Workload: a random run of the six-hour demo by 35 devices, 50,000 entries: its steps and gates, many
// repeated by several devices, then notes and clock samples, one in twenty of them a stray tap. Digests
// are not chained. Left out of the timing: making the entries, their text, one round of warming up.
// Each way is timed in turn, five rounds; medians are compared.
//
// To run: npm run bench -- tests/bench/fold.bench.ts

import { readFileSync } from "node:fs";
import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Entry } from "../../machines/record/entry.ts";
import { foldRun } from "../../machines/record/fold-run.ts";
import { orderEntries } from "../../machines/record/order-entries.ts";
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
  const { ordered } = orderEntries(entries);
  const ways: readonly (readonly [string, () => unknown])[] = [
    ["JSON.parse and sort", () => parseAndSort(text)],
    ["orderEntries", () => orderEntries(entries)],
    ["foldRun", () => foldRun(index, ordered)],
  ];
  const times = ways.map(() => [] as number[]);
  for (let round = 0; round <= rounds; round += 1) {
    for (const [place, [, way]] of ways.entries()) {
      const ms = timeOf(way);
      if (round > 0) times[place]?.push(ms);
    }
  }
  const medians = times.map(median);
  const [floorMs = 0, ...others] = medians;
  for (const [place, [name]] of ways.entries()) {
    const ms = medians[place] ?? 0;
    console.log(`${name}: ${ms.toFixed(1)} ms, ratio ${(ms / floorMs).toFixed(2)}`);
  }
  const totalMs = others.reduce((sum, ms) => sum + ms, 0);
  console.log(`order + fold: ${totalMs.toFixed(1)} ms, ratio ${(totalMs / floorMs).toFixed(2)}`);
  console.log(`${entries.length} entries, ${(text.length / 1e6).toFixed(1)} MB of text`);
}

function parseAndSort(text: string): Entry[] {
  const parsed = JSON.parse(text) as Entry[];
  return parsed.sort((a, b) => a.wallMs - b.wallMs || (a.device < b.device ? -1 : 1));
}

function timeOf(way: () => unknown): number {
  const beganMs = performance.now();
  way();
  return performance.now() - beganMs;
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
}
