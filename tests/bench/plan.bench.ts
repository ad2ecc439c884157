// The plan check: cold, after an edit, and how it grows.
//
// Workload: the six-hour demo with each of its contingencies and all of them; and rounds of sound work of
// 250 to 2,000 steps (`a-long-plan.ts`). Cold is the first check in this process, nothing compiled yet.
// Left out of the timing: reading the text and indexing it. Times are of the processor, so that others on
// the machine do not count; medians of several rounds, but for the cold one.
//
// To run: npm run bench -- tests/bench/plan.bench.ts

import { readFileSync } from "node:fs";
import { checkPlan } from "../../machines/plan/check-plan.ts";
import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import { procedureChecks } from "../../machines/views/procedure-findings.ts";
import { aLongPlan } from "../support/a-long-plan.ts";

const rounds = 15;
const demoFile = "workers/hub/demo/petrel-deck.procedure.json";

main();

function main(): void {
  const procedure = JSON.parse(readFileSync(demoFile, "utf8")) as Procedure;
  const index = indexProcedure(procedure);
  const coldMs = processorMs(() => checkPlan(index));
  console.log(`petrel-deck, cold: ${coldMs.toFixed(1)} ms`);
  const edited = procedure.steps.slice(0, rounds * 6).map((step) => {
    const text = `${step.text} `;
    const steps = procedure.steps.map((other) => (other === step ? { ...step, text } : other));
    return indexProcedure({ ...procedure, steps });
  });
  // The first ones still meet code that is not compiled; a lead's fifth edit of an evening does not.
  const editsMs = edited.map((other) => processorMs(() => checkPlan(other)));
  const editMs = median(editsMs.slice(-rounds));
  console.log(
    `after an edit: ${editMs.toFixed(1)} ms, ratio to cold ${(editMs / coldMs).toFixed(2)}`,
  );
  for (const { name, run } of procedureChecks.slice(1)) {
    console.log(`  ${name}: ${medianMs(run, index).toFixed(1)} ms`);
  }
  let before = 0;
  for (const steps of [250, 500, 1000, 2000]) {
    const ms = medianMs(checkPlan, indexProcedure(aLongPlan(steps)));
    const ratio = before === 0 ? "" : `, ratio to half of it ${(ms / before).toFixed(2)}`;
    console.log(`${steps} steps: ${ms.toFixed(1)} ms${ratio}`);
    before = ms;
  }
}

function medianMs(check: (index: ProcedureIndex) => unknown, index: ProcedureIndex): number {
  return median(Array.from({ length: rounds }, () => processorMs(() => check(index))));
}

function processorMs(act: () => unknown): number {
  const began = process.cpuUsage();
  act();
  const { user, system } = process.cpuUsage(began);
  return (user + system) / 1000;
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
}
