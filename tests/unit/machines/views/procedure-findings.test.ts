// All checks in one list, and the time check's findings in words.

import { expect, test } from "vitest";
import { findingKinds } from "../../../../machines/plan/finding.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { checkProcedure, procedureChecks } from "../../../../machines/views/procedure-findings.ts";
import { aLongPlan } from "../../../support/a-long-plan.ts";
import {
  partOf,
  plantFaults,
  seededFaults,
  stepOf,
  type Draft,
} from "../../../support/seeded-faults.ts";
import { demoNames, demoProcedure, type DemoName } from "../../workers/hub/demo/demo-documents.ts";

function findIn(name: DemoName, plant: (draft: Draft) => unknown = () => {}) {
  const draft = structuredClone(demoProcedure(name)) as Draft;
  plant(draft);
  return checkProcedure(indexProcedure(draft));
}

test.each(demoNames)("[procedure-findings 1] %s has no fault", (name) => {
  expect(findIn(name).filter(({ grade }) => grade === "fault")).toEqual([]);
});

test("[procedure-findings 1] the doubts about the long one are honest and few", () => {
  const doubts = findIn("petrel-deck").filter(({ grade }) => grade === "doubt");
  expect(doubts.map(({ kind }) => kind)).toEqual(["run-too-long", "buddy-out-of-reach"]);
});

test("[procedure-findings 1] faults of every part stand in one list, the gravest first", () => {
  const planted = plantFaults(demoProcedure("petrel-deck"), seededFaults);
  const found = findIn("petrel-deck", (draft) => {
    Object.assign(draft, structuredClone(planted));
    draft.limits.hatchWithinSeconds = 300;
    const suit = draft.positions.find(({ id }) => id === "ev1")?.suit;
    if (suit) suit.oxygen.value = 0.2;
  });
  const kinds = new Set(found.map(({ kind }) => kind));
  for (const kind of ["hatch-too-far", "consumable-short", "deadlock", "item-not-there"] as const) {
    expect(kinds).toContain(kind);
  }
  expect(found.filter(({ kind }) => kind === "deadlock")).toHaveLength(1);
  const weights = found.map(
    ({ grade, kind }) =>
      ["fault", "doubt", "advice"].indexOf(grade) * 1000 + findingKinds.indexOf(kind),
  );
  expect(weights).toEqual(weights.toSorted((a, b) => a - b));
});

test("[procedure-findings 2] what is too large for the time check says so", () => {
  const time = procedureChecks.find(({ name }) => name === "time");
  const [found] = time?.run(indexProcedure(aLongPlan(1000))) ?? [];
  expect([found?.kind, found?.grade]).toEqual(["plan-too-large", "advice"]);
});

test("[time-finding-words 1] a clock that can't be kept is told with what is missing and a mend", () => {
  const [found] = findIn("petrel-deck", (draft) => {
    partOf(draft.clocks, "box-cold").atMostSeconds = 9000;
  }).filter(({ kind }) => kind === "clock-not-kept");
  expect(found?.grade).toBe("doubt");
  expect(found?.where.clocks).toContain("box-cold");
  expect(found?.says).toMatch(
    /^“Valve box without power” can't be kept .* min are missing at the worst\./,
  );
  expect(found?.mend.says).toMatch(/ from [0-9.]+ min to [0-9.]+ min\./);
});

test("[time-finding-words 1] a run that can be too long names what may be deferred", () => {
  const [found] = findIn("petrel-deck").filter(({ kind }) => kind === "run-too-long");
  expect(found?.says).toContain("longer than its limit of 420 min");
  expect(found?.mend.says).toMatch(/^Be ready to defer “/);
});

test("[time-finding-words 1] a window that can be missed names the step", () => {
  const found = findIn("petrel-deck", (draft) => {
    partOf(draft.windows, "light").spans = [{ fromSeconds: 0, toSeconds: 600 }];
    stepOf(draft, "ev1-photo-panel").needsWindows = ["light" as never];
  }).filter(({ kind }) => kind === "window-missed");
  expect(found.some(({ says }) => says.includes("(ev1-photo-panel)"))).toBe(true);
});
