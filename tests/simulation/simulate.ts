// Plays many seeds from the command line and prints what befell the devices and what came of it.
// Run by simulate.mjs: npm run simulate -- --seeds 1..500 [--steps 200]

import { parseArgs } from "node:util";
import type { Counts } from "./simulation.ts";
import { simulate, stepsUsual } from "./simulator.ts";

const { values } = parseArgs({
  options: {
    seeds: { type: "string", default: "1..100" },
    steps: { type: "string", default: String(stepsUsual) },
    trace: { type: "boolean", default: false },
  },
});

const [from = 1, to = from] = values.seeds.split("..").map(Number);
const steps = Number(values.steps);
const totals: Counts = {};
const failed: number[] = [];
const startMs = performance.now();

for (let seed = from; seed <= to; seed += 1) {
  const { faults, counts, trace } = await simulate(seed, steps);
  for (const [what, count] of Object.entries(counts)) totals[what] = (totals[what] ?? 0) + count;
  if (values.trace) print(trace.join("\n"));
  if (faults.length === 0) continue;
  failed.push(seed);
  for (const fault of faults.slice(0, 5)) print(`seed ${seed}: ${fault}`);
}

const seconds = (performance.now() - startMs) / 1000;
print(`schedules ${to - from + 1}, of ${steps} steps each, in ${seconds.toFixed(1)} s`);
for (const what of Object.keys(totals).sort()) print(`  ${what} ${totals[what]}`);
print(failed.length === 0 ? "no seed failed" : `failed seeds: ${failed.join(" ")}`);
process.exitCode = failed.length === 0 ? 0 : 1;

function print(line: string): void {
  process.stdout.write(`${line}\n`);
}
