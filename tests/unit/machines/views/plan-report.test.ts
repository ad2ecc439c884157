// The report of a checked plan, on the demo procedures and on the long one with faults planted.

import { expect, test } from "vitest";
import type { Finding } from "../../../../machines/plan/finding.ts";
import { findingKinds } from "../../../../machines/plan/finding.ts";
import type { Procedure } from "../../../../machines/procedure/procedure.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { findingTitles } from "../../../../machines/views/finding-titles.ts";
import { partWords } from "../../../../machines/views/plan-part-words.ts";
import { findingsShownMax, reportPlan } from "../../../../machines/views/plan-report.ts";
import type { PlanReport } from "../../../../machines/views/plan-report.ts";
import { procedureChecks } from "../../../../machines/views/procedure-findings.ts";
import { aLongPlan } from "../../../support/a-long-plan.ts";
import { plantFaults, seededFaults } from "../../../support/seeded-faults.ts";
import type { Draft } from "../../../support/seeded-faults.ts";
import { demoNames, demoProcedure } from "../../workers/hub/demo/demo-documents.ts";

function findInParts(procedure: Procedure) {
  const index = indexProcedure(procedure);
  return procedureChecks.map(({ name, run }) => ({ name, findings: run(index) }));
}

function reportOf(procedure: Procedure): PlanReport {
  return reportPlan(indexProcedure(procedure), findInParts(procedure));
}

const planted = plantFaults(demoProcedure("petrel-deck"), seededFaults);
const foundInPlanted = findInParts(planted);
const reportOfPlanted = reportPlan(indexProcedure(planted), foundInPlanted);
const reportsOfDemos = demoNames.map((name) => [name, reportOf(demoProcedure(name))] as const);

test.each(demoNames)(
  "[plan-report 1] %s: no fault, in plain words, all parts looked at",
  (name) => {
    const { headline, groups, parts } = reportOf(demoProcedure(name));
    expect(headline).toBe("No fault was found in the plan as it is written.");
    expect(groups[0]).toEqual({ grade: "fault", count: 0, shown: [] });
    expect(parts.map(({ extent }) => extent)).toEqual(procedureChecks.map(() => "full"));
  },
);

test("[plan-report 1] every finding of a plan with many faults is told, with all that it needs", () => {
  const found = foundInPlanted.flatMap(({ findings }) => findings);
  const { groups, headline } = reportOfPlanted;
  const told = groups.flatMap(({ shown }) => shown);
  expect(saysOf(told)).toEqual(saysOf(found));
  expect(told.filter(({ title, mend }) => title === "" || mend === "")).toEqual([]);
  const faults = found.filter(({ grade }) => grade === "fault").length;
  expect(faults).toBeGreaterThanOrEqual(30);
  expect(headline).toContain(`${faults} faults were found`);
  const witnesses = found.filter(({ witness }) => witness !== null);
  expect(told.filter(({ witness }) => witness !== null)).toHaveLength(witnesses.length);
  expect(told.every(({ where }) => where.length > 0)).toBe(true);
});

test("[plan-report 1] of thousands of findings the first are shown and the others counted", () => {
  const procedure = demoProcedure("first-steps");
  const one = foundInPlanted[0]?.findings.find(({ grade }) => grade === "fault") as Finding;
  const many = Array.from({ length: 5000 }, () => ({ ...one, witness: null }));
  const { groups } = reportPlan(indexProcedure(procedure), [{ name: "order", findings: many }]);
  expect([groups[0]?.count, groups[0]?.shown.length]).toEqual([5000, findingsShownMax]);
});

test("[plan-report 2] a plan too long for the time check says so in part and headline", () => {
  const { parts, headline } = reportOf(aLongPlan(700));
  const time = parts.find(({ name }) => name === "Time");
  expect(time?.extent).toBe("none");
  expect(time?.whyNot).toMatch(/700 steps/);
  expect(headline).toMatch(/Not everything was checked/);
});

test("[plan-report 2] where lanes wait for each other, the time was not checked", () => {
  const draft = structuredClone(demoProcedure("first-steps")) as Draft;
  const [first, second] = [draft.steps[0], draft.steps[1]];
  if (first === undefined || second === undefined) throw new Error("no steps");
  first.after.push(second.id);
  second.after.push(first.id);
  const { parts, groups, headline } = reportOf(draft);
  expect(groups[0]?.shown[0]?.title).toBe(findingTitles.deadlock);
  expect(parts.find(({ name }) => name === "Time")?.extent).toBe("none");
  expect(headline).toMatch(/Not everything was checked/);
});

test("[plan-report 3] nothing in a report calls a plan safe or proven", () => {
  const reports = [...reportsOfDemos.map(([, report]) => report), reportOfPlanted];
  expect(JSON.stringify(reports)).not.toMatch(/\b(safe|safely|proven|proved|guarantee)/i);
});

test("every kind of finding and every part has a title of its own", () => {
  const titles = findingKinds.map((kind) => findingTitles[kind]);
  expect(new Set(titles).size).toBe(titles.length);
  for (const { name } of procedureChecks) expect(partWords(name).looksAt, name).not.toBe("");
});

function saysOf(findings: readonly { readonly says: string }[]): readonly string[] {
  return findings.map(({ says }) => says).toSorted();
}
