// The plan check against every interleaving of thousands of small random plans.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { checkPlan, orderPlay } from "../../../../machines/plan/check-plan.ts";
import type { Finding } from "../../../../machines/plan/finding.ts";
import { interleavingsOf } from "../../../../machines/plan/interleaving.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { Procedure } from "../../../../machines/procedure/procedure.ts";
import { aRandomPlan } from "../../../support/a-random-plan.ts";
import { closeOrder } from "../../../support/walk-order.ts";
import {
  explorePlan,
  isInterleaving,
  replayOrder,
  type Violation,
} from "../../../support/explore-plan.ts";

const runs = Number(process.env["LANEHOLD_PLANS"] ?? 1500);
const stepsMax = 7;
// Told by the check alone: what calls for a caution, what is worth a thought.
const beside: readonly Finding["kind"][] = [
  "hazard-missing",
  "tether-crossed",
  "item-loose",
  "items-left-out",
];

// A failing case prints its seed and its number of steps; `aRandomPlan(seed, steps)` is the plan again.
const plans = fc.record({
  seed: fc.integer({ min: 0, max: 1e9 }),
  steps: fc.integer({ min: 3, max: stepsMax }),
});

function findingsOf(procedure: Procedure): readonly Finding[] {
  return checkPlan(indexProcedure(procedure)).filter(({ kind }) => !beside.includes(kind));
}

test("[check-plan 1], [deadlock 1], [ledger 1], [ledger 2], [contention 1] it finds nothing exactly if no interleaving goes wrong", () => {
  const tally = { sound: 0, wrong: 0 };
  fc.assert(
    fc.property(plans, ({ seed, steps }) => {
      const procedure = aRandomPlan(seed, steps);
      const { violations, isWhole } = explorePlan(procedure);
      fc.pre(isWhole);
      const findings = findingsOf(procedure);
      tally[violations.length === 0 ? "sound" : "wrong"] += 1;
      const isSame = (findings.length === 0) === (violations.length === 0);
      expect([isSame, describeAll(findings, violations)]).toEqual([true, expect.anything()]);
    }),
    { numRuns: runs },
  );
  // Both sorts must have been drawn, else nothing was held against anything.
  expect(Math.min(tally.sound, tally.wrong)).toBeGreaterThan(runs / 10);
});

test("[check-plan 2], [interleaving 1], [interleaving 2] every witness is an interleaving, and what first goes wrong in some is found", () => {
  fc.assert(
    fc.property(plans, ({ seed, steps }) => {
      const procedure = aRandomPlan(seed, steps);
      const { violations, isWhole } = explorePlan(procedure);
      fc.pre(isWhole);
      const findings = findingsOf(procedure);
      for (const finding of findings) expectWitness(procedure, finding);
      for (const violation of violations) {
        expect([violation, findings.filter((f) => covers(procedure, f, violation))]).toEqual([
          violation,
          expect.arrayContaining([expect.anything()]),
        ]);
      }
    }),
    { numRuns: runs },
  );
});

function describeAll(findings: readonly Finding[], violations: readonly Violation[]): string {
  const found = findings.map((f) => `${f.kind} ${f.where.steps.join()}`);
  const gone = violations.map((v) => `${v.rule} ${v.step} ${v.other}: ${v.says}`);
  return `${JSON.stringify(found)} ${JSON.stringify(gone)}`;
}

/**
 * Whether a finding tells of a violation: it names the step, or is the tighter clash that takes the step's
 * own along: then the step is of one of the two lanes, or before the first of the two, or after the second.
 */
function covers(procedure: Procedure, { kind, where }: Finding, violation: Violation): boolean {
  if (violation.rule === "deadlock") return kind === "deadlock";
  const { step } = violation;
  if (step === null) return true;
  const [first = "", second = ""] = where.steps;
  if (where.steps.some((id) => id === step)) return true;
  if (second === "") return false;
  const before = closeOrder(procedure.steps);
  const laneOf = (id: string) => procedure.steps.find((s) => s.id === id)?.lane;
  const isOfLane = where.steps.some((id) => laneOf(id) === laneOf(step));
  return (
    isOfLane || before.get(first)?.has(step) === true || before.get(step)?.has(second) === true
  );
}

function expectWitness(procedure: Procedure, finding: Finding): void {
  const { kind, witness } = finding;
  if (witness === null || witness.sort === "circle") return;
  const { order, findings } = orderPlay(indexProcedure(procedure), []);
  // With a circle cut, the order is no longer the document's.
  if (findings.length > 0) return;
  const orders = interleavingsOf(order, witness);
  for (const ends of orders) expect([kind, isInterleaving(procedure, ends)]).toEqual([kind, true]);
  if (witness.sort === "orders") {
    for (const [place, wanted] of witness.orders.entries()) {
      expect(orders[place]?.filter((id) => wanted.includes(id))).toEqual(wanted);
    }
  }
  if (kind === "site-crowded") expectCrowd(procedure, finding, orders[0] ?? []);
  if (kind.endsWith("-unordered") || beforeEnd.includes(kind)) return;
  if (witness.sort !== "orders" || finding.where.steps.length === 0) return;
  const { violations } = replayOrder(procedure, orders[0] ?? []);
  expect([kind, finding.says, violations]).toEqual([
    kind,
    finding.says,
    expect.arrayContaining([expect.anything()]),
  ]);
}

// Of these the witness shows two orders that may both go well: they can't be under way at once.
const beforeEnd: readonly Finding["kind"][] = [
  "tool-shared",
  "hands-busy",
  "restraint-shared",
  "site-crowded",
];

function expectCrowd(procedure: Procedure, finding: Finding, ends: readonly string[]): void {
  const { violations, world } = replayOrder(procedure, ends);
  // Something else may have gone wrong on the way there.
  if (violations.length > 0) return;
  const [site] = finding.where.sites;
  const capacity = procedure.sites.find((s) => s.id === site)?.capacity ?? 0;
  const there = [...world.siteByPosition.values()].filter((at) => at === site).length;
  expect(there).toBeGreaterThan(capacity);
}
