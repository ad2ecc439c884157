// Plays many seeds from the command line and prints what befell the devices and what came of it.
// npm run simulate -- --seeds 1..500 [--steps 200] [--trace] [--workers 2]
// LANEHOLD_MUTANT=name plants that bug first.

import { mkdtempSync, rmSync } from "node:fs";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { bundlePlayer } from "./bundle.ts";
import { mutantNamed } from "./mutants/all-mutants.ts";
import type { SeedReport } from "./play-seeds.ts";
import { playInChild } from "./players.ts";
import type { Counts } from "./simulation.ts";

const { values } = parseArgs({
  options: {
    seeds: { type: "string", default: "1..100" },
    steps: { type: "string" },
    trace: { type: "boolean", default: false },
    workers: { type: "string", default: String(availableParallelism()) },
  },
});

const [from = 1, to = from] = values.seeds.split("..").map(Number);
const workers = Math.min(Number(values.workers), to - from + 1);
const totals: Counts = {};
const failed: number[] = [];
let played = 0;
const startMs = performance.now();

// What the totals are in short, each a sum of counts.
const summary: readonly (readonly [says: string, whats: readonly string[]])[] = [
  ["taps", ["tap-taken", "tap-refused", "tap-crashed", "tap-while-storing"]],
  ["entries", ["entry"]],
  ["crashes", ["crash"]],
  ["partitions", ["partition"]],
  ["cut requests and answers", ["request-cut", "answer-cut"]],
  ["repeats", ["duplicated", "straggler"]],
  ["restores of the hub", ["restore"]],
  ["tablets put back", ["put-back"]],
  ["lies", ["lie", "lie-refused"]],
];
const faultCounts = { divergences: 0, losses: 0 };

const project = process.cwd();
const outDir = mkdtempSync(join(project, ".build", "simulate-"));
process.on("exit", () => rmSync(outDir, { recursive: true, force: true }));
const wanted = process.env["LANEHOLD_MUTANT"];
const bundle = await bundlePlayer(
  project,
  outDir,
  wanted === undefined ? null : mutantNamed(wanted),
);
const options = [
  ...(values.steps === undefined ? [] : [`--steps=${values.steps}`]),
  ...(values.trace ? ["--trace"] : []),
];
await Promise.all(
  Array.from({ length: workers }, (_, worker) =>
    playInChild(bundle, { from: from + worker, to, by: workers, options }, tell),
  ),
);
const seconds = (performance.now() - startMs) / 1000;
print(`${played} schedules in ${seconds.toFixed(1)} s: ${(played / seconds).toFixed(1)} a second`);
for (const [says, whats] of summary) {
  print(`  ${says} ${whats.reduce((sum, what) => sum + (totals[what] ?? 0), 0)}`);
}
print(`  divergences ${faultCounts.divergences}`);
print(`  losses ${faultCounts.losses}`);
print("all that happened:");
for (const what of Object.keys(totals).sort()) print(`  ${what} ${totals[what]}`);
print(failed.length === 0 ? "no seed failed" : `failed seeds: ${failed.join(" ")}`);
process.exitCode = failed.length === 0 ? 0 : 1;

function tell({ seed, faults, counts, trace }: SeedReport): void {
  played += 1;
  for (const [what, count] of Object.entries(counts)) totals[what] = (totals[what] ?? 0) + count;
  if (trace !== null) print(trace.join("\n"));
  if (played % 1_000 === 0) print(`${played} of ${to - from + 1}, failed ${failed.length}`);
  if (faults.length === 0) return;
  failed.push(seed);
  faultCounts.divergences += faults.filter((fault) =>
    /^all replicas|^the hub lists/.test(fault),
  ).length;
  faultCounts.losses += faults.filter((fault) =>
    /^every acknowledged|^what is held/.test(fault),
  ).length;
  for (const fault of faults.slice(0, 5)) print(`seed ${seed}: ${fault}`);
}

function print(line: string): void {
  process.stdout.write(`${line}\n`);
}
