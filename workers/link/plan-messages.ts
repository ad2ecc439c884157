// Messages between a page and the planner, the worker that checks plans. One planner does one check;
// to end a check before its time the page ends the planner.
//
// [plan-messages 1] What is not one of these messages reads as null.

import type { Fault } from "../../machines/procedure/fault.ts";
import type { PlanReport } from "../../machines/views/plan-report.ts";

/** From a page to the planner: the document may be anything that was in the store. */
export type PlannerOrder = { readonly type: "plan.check"; readonly document: unknown };

/** From the planner to its page. */
export type PlannerMessage =
  /** It begins with part number `part`, from 0, of `parts`. */
  | {
      readonly type: "plan.progressed";
      readonly part: number;
      readonly parts: number;
      readonly name: string;
    }
  | { readonly type: "plan.checked"; readonly report: PlanReport }
  /** The document is no procedure that can be checked. */
  | { readonly type: "plan.refused"; readonly faults: readonly Fault[]; readonly count: number }
  /** The check itself broke: our own mistake. */
  | { readonly type: "plan.failed"; readonly says: string };

/** Reads an order; null: it is none of ours. */
export function readPlannerOrder(value: unknown): PlannerOrder | null {
  if (!isObject(value) || value["type"] !== "plan.check" || !("document" in value)) return null;
  return { type: "plan.check", document: value["document"] };
}

/** Reads a planner's message; null: it is none of ours. */
export function readPlannerMessage(value: unknown): PlannerMessage | null {
  if (!isObject(value)) return null;
  const { type, part, parts, name, says, report, faults, count } = value;
  switch (type) {
    case "plan.progressed":
      if (!isCount(part) || !isCount(parts) || part >= parts) return null;
      return typeof name === "string" ? { type, part, parts, name } : null;
    case "plan.checked":
      return isReport(report) ? { type, report } : null;
    case "plan.refused":
      if (!isCount(count) || !Array.isArray(faults) || !faults.every(isFault)) return null;
      return { type, faults, count };
    case "plan.failed":
      return typeof says === "string" ? { type, says } : null;
    default:
      return null;
  }
}

type Members = Readonly<Record<string, unknown>>;

function isObject(value: unknown): value is Members {
  return typeof value === "object" && value !== null;
}

function isCount(value: unknown): value is number {
  return Number.isSafeInteger(value) && Number(value) >= 0;
}

function isFault(value: unknown): value is Fault {
  const members = ["path", "code", "says", "mend"];
  return isObject(value) && members.every((member) => typeof value[member] === "string");
}

// Both ends come from one build; what is inside the lists is the planner's own.
function isReport(value: unknown): value is PlanReport {
  if (!isObject(value)) return false;
  const areTexts = ["title", "revision", "headline"].every(
    (member) => typeof value[member] === "string",
  );
  const areLists = ["groups", "parts", "suits"].every((member) => Array.isArray(value[member]));
  return areTexts && areLists && isCount(value["stepCount"]) && isObject(value["returns"]);
}
