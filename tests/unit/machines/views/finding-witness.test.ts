// Witnesses in words, checked against the lanes' own order in the document.

import { expect, test } from "vitest";
import { checkPlan } from "../../../../machines/plan/check-plan.ts";
import { stepWords } from "../../../../machines/plan/plan-words.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { createWitnessTeller } from "../../../../machines/views/finding-witness.ts";
import { plantFaults, seededFaults } from "../../../support/seeded-faults.ts";
import { demoProcedure } from "../../workers/hub/demo/demo-documents.ts";

const index = indexProcedure(plantFaults(demoProcedure("petrel-deck"), seededFaults));
const findings = checkPlan(index);
const tell = createWitnessTeller(index);
const stepsByWords = new Map(
  index.procedure.steps.map((step) => [stepWords(index, step.id), step]),
);

test("[finding-witness 1] steps come in their lane's order, each after what it is written to come after", () => {
  const told = findings
    .filter(({ witness }) => witness?.sort === "orders")
    .flatMap((finding) => tell(finding)?.lists ?? []);
  expect(told.length).toBeGreaterThan(20);
  for (const { before, lines } of told) {
    const steps = lines.map((line) => stepsByWords.get(line));
    expect(steps).not.toContain(undefined);
    const ids = steps.map((step) => step?.id);
    for (const [at, step] of steps.entries()) {
      const early = steps.slice(0, at).filter((other) => other?.lane === step?.lane);
      for (const other of early) {
        expect(index.orderNumbers.get(other!.id)).toBeLessThan(index.orderNumbers.get(step!.id)!);
      }
      // What it comes after is shown above it, or is among those that were left out.
      for (const after of step?.after ?? []) expect(ids.indexOf(after)).toBeLessThan(at);
    }
    expect(before).toBeGreaterThanOrEqual(0);
  }
});

test("[finding-witness 1] what is left out before the shown steps is counted", () => {
  const told = findings.flatMap((finding) => tell(finding)?.lists ?? []);
  const long = told.filter(({ before }) => before > 0);
  expect(long.length).toBeGreaterThan(0);
  expect(long.every(({ lines }) => lines.length === 8)).toBe(true);
});

test("a circle of waiting is told link by link and closes", () => {
  const deadlock = findings.find(({ kind }) => kind === "deadlock");
  const lines = deadlock === undefined ? [] : (tell(deadlock)?.lists[0]?.lines ?? []);
  expect(lines.length).toBeGreaterThan(1);
  const [waiting, waitedFor] = [lines[0], lines.at(-1)].map((line) => line?.split(" waits for "));
  expect(waitedFor?.[1]?.startsWith(waiting?.[0] ?? "?")).toBe(true);
});
