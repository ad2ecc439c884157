// The planner's job: reads a document and checks its plan part by part, telling how far it is.
//
// [check-plan-job 1] It ends with one message: the report, the document's faults, or that it broke.
// [check-plan-job 2] Before each part it tells which; parts are told in order, each once.
// [check-plan-job 3] If a part breaks, nothing is said of the plan.

import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
import { readProcedure } from "../../machines/procedure/read-procedure.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import { reportPlan } from "../../machines/views/plan-report.ts";
import type { PlanReport } from "../../machines/views/plan-report.ts";
import { procedureChecks } from "../../machines/views/procedure-findings.ts";
import type { PlannerMessage, PlannerOrder } from "../link/plan-messages.ts";

/** Faults of a document that are sent; a document that is wrong everywhere has thousands. */
export const faultsSentMax = 100;

/** The parts of a check, and the figures that come last. */
export const partNames: readonly string[] = [...procedureChecks.map(({ name }) => name), "figures"];

/** Carries out an order and tells of it. Errors: none; what breaks is told. */
export function carryOutPlannerOrder(
  order: PlannerOrder,
  tell: (message: PlannerMessage) => void,
): void {
  try {
    tell(answerTo(order, tell));
  } catch (cause) {
    tell({ type: "plan.failed", says: cause instanceof Error ? cause.message : String(cause) });
  }
}

function answerTo(
  { document }: PlannerOrder,
  tell: (message: PlannerMessage) => void,
): PlannerMessage {
  // The reader takes texts; what is in the store went through it once, and may be damaged since.
  const { procedure, faults } = readProcedure(JSON.stringify(document) ?? "");
  if (procedure === null) {
    return { type: "plan.refused", faults: faults.slice(0, faultsSentMax), count: faults.length };
  }
  return { type: "plan.checked", report: checkInParts(procedure, tell) };
}

function checkInParts(procedure: Procedure, tell: (message: PlannerMessage) => void): PlanReport {
  const index = indexProcedure(procedure);
  const begin = (part: number): void => {
    const name = partNames[part] ?? "";
    tell({ type: "plan.progressed", part, parts: partNames.length, name });
  };
  const found = procedureChecks.map(({ name, run }, part) => {
    begin(part);
    return { name, findings: run(index) };
  });
  begin(procedureChecks.length);
  return reportPlan(index, found);
}
