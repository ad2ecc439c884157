// The planner's job, on the demo procedures and on documents that are no procedure.

import { expect, test } from "vitest";
import { readPlannerMessage } from "../../../../workers/link/plan-messages.ts";
import type { PlannerMessage } from "../../../../workers/link/plan-messages.ts";
import {
  carryOutPlannerOrder,
  faultsSentMax,
  partNames,
} from "../../../../workers/planner/check-plan-job.ts";
import { demoNames, demoProcedure } from "../hub/demo/demo-documents.ts";

function answersTo(document: unknown): readonly PlannerMessage[] {
  const told: PlannerMessage[] = [];
  carryOutPlannerOrder({ type: "plan.check", document }, (message) => told.push(message));
  return told;
}

test.each(demoNames)("[check-plan-job 2] %s: each part is told once, then the report", (name) => {
  const told = answersTo(demoProcedure(name));
  const progress = told.filter((message) => message.type === "plan.progressed");
  expect(progress.map(({ part }) => part)).toEqual(partNames.map((_, part) => part));
  expect(progress.map((message) => message.name)).toEqual(partNames);
  expect(told.at(-1)?.type).toBe("plan.checked");
  expect(told).toHaveLength(partNames.length + 1);
});

test("[check-plan-job 1] what it tells arrives as it was sent, through a structured clone", () => {
  for (const message of answersTo(demoProcedure("petrel-deck"))) {
    expect(readPlannerMessage(structuredClone(message))).toEqual(message);
  }
});

test.each([undefined, null, 7, "text", [], {}, { format: "lanehold.procedure" }])(
  "[check-plan-job 1] %j is refused with its faults and nothing else",
  (document) => {
    const told = answersTo(document);
    expect(told.map(({ type }) => type)).toEqual(["plan.refused"]);
    const [refused] = told;
    if (refused?.type !== "plan.refused") throw new Error("not refused");
    expect(refused.faults.length).toBeGreaterThan(0);
    expect(refused.count).toBeGreaterThanOrEqual(refused.faults.length);
  },
);

test("[check-plan-job 1] of a document that is wrong everywhere only the first faults are sent", () => {
  const damaged = { ...demoProcedure("petrel-deck"), items: Array.from({ length: 500 }, () => 7) };
  const [refused] = answersTo(damaged);
  if (refused?.type !== "plan.refused") throw new Error("not refused");
  expect(refused.faults).toHaveLength(faultsSentMax);
  expect(refused.count).toBeGreaterThanOrEqual(500);
});

test("[check-plan-job 3] a document that can't be read through breaks in words", () => {
  const circular: { self?: unknown } = {};
  circular.self = circular;
  expect(answersTo(circular).map(({ type }) => type)).toEqual(["plan.failed"]);
});
