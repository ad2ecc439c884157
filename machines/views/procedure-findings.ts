// Everything that can be said of a procedure before anybody gets wet, the most important first.
//
// [procedure-findings 1] Order, time, return, buddies, consumables and light, in one list; where the
//   order has a circle, nothing is said of time.
// [procedure-findings 2] What is too large to be checked in full says so.

import { checkConsumables } from "../consumables/check-consumables.ts";
import { checkLight } from "../light/check-light.ts";
import { checkPlan } from "../plan/check-plan.ts";
import { placeOf, sortFindings } from "../plan/finding.ts";
import type { Finding } from "../plan/finding.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { buddyReach, findLostBuddies } from "../reach-back/buddy-reach.ts";
import { findLongReturns, returnTimes } from "../reach-back/return-times.ts";
import { checkTime } from "../time/check-time.ts";
import { wordTimeFinding } from "./time-finding-words.ts";

/** One part of the check; each can be run by itself, so that a worker can tell how far it is. */
export type ProcedureCheck = {
  readonly name: string;
  readonly run: (index: ProcedureIndex) => readonly Finding[];
};

// The time check grows with the cube of the steps; beyond this it would take minutes.
const timedStepsMax = 600;

/** The parts in the order in which they are run. */
export const procedureChecks: readonly ProcedureCheck[] = [
  { name: "order", run: checkPlan },
  { name: "return", run: (index) => findLongReturns(index, returnTimes(index)) },
  { name: "buddies", run: (index) => findLostBuddies(index, buddyReach(index)) },
  { name: "consumables", run: (index) => checkConsumables(index) },
  { name: "light", run: checkLight },
  { name: "time", run: findInTime },
];

/** All findings of a procedure, in order of importance. Errors: none. */
export function checkProcedure(index: ProcedureIndex): readonly Finding[] {
  const findings = procedureChecks.flatMap(({ run }) => run(index));
  return sortFindings(findings, index.orderNumbers);
}

function findInTime(index: ProcedureIndex): readonly Finding[] {
  const count = index.procedure.steps.length;
  if (count > timedStepsMax) return [tooLong(count)];
  // A circle is told of by the order's own check, with what mends it.
  const found = checkTime(index).filter(({ kind }) => kind !== "order-circle");
  return found.map((finding) => wordTimeFinding(index, finding));
}

function tooLong(count: number): Finding {
  return {
    kind: "plan-too-large",
    grade: "advice",
    where: placeOf({}),
    says: `With ${count} steps the plan is too large for the time check here; clocks, windows and the run's limit were not checked.`,
    witness: null,
    mend: { says: "Split the procedure.", edits: [] },
    onlyWith: [],
  };
}
