// The long demo procedure with thirty-one faults: every one is found, and nothing beside them.

import { expect, test } from "vitest";
import { checkPlan } from "../../../../machines/plan/check-plan.ts";
import type { Finding } from "../../../../machines/plan/finding.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { readProcedure } from "../../../../machines/procedure/read-procedure.ts";
import { plantFaults, seededFaults, type SeededFault } from "../../../support/seeded-faults.ts";
import { demoProcedure } from "../../workers/hub/demo/demo-documents.ts";

const sound = demoProcedure("petrel-deck");

function check(faults: readonly SeededFault[]): void {
  const planted = plantFaults(sound, faults);
  expect(planted).not.toEqual(sound);
  expect(readProcedure(JSON.stringify(planted)).faults).toEqual([]);
  // What only the clock keeps from going wrong is a doubt; it is planted and found all the same.
  const found = checkPlan(indexProcedure(planted)).filter(({ grade }) => grade !== "advice");
  const missed = faults.filter((fault) => !found.some((finding) => isOf(finding, fault)));
  expect(missed.map(({ kind, at }) => `${kind} ${at}`)).toEqual([]);
  const stray = found.filter((finding) => !faults.some((fault) => belongs(finding, fault)));
  expect(stray.map(({ kind, says }) => `${kind} ${says}`)).toEqual([]);
}

function namesOf({ where }: Finding): readonly string[] {
  return Object.values(where).flat();
}

function isOf(finding: Finding, { kind, at }: SeededFault): boolean {
  return finding.kind === kind && namesOf(finding).includes(at);
}

function belongs(finding: Finding, fault: SeededFault): boolean {
  const isItsKind = finding.kind === fault.kind || fault.also.includes(finding.kind);
  return isItsKind && namesOf(finding).some((name) => fault.about.includes(name));
}

test.each(seededFaults.map((fault) => [`${fault.kind} at ${fault.at}`, fault] as const))(
  "[check-plan 1] %s is found, and no other fault",
  (_name, fault) => {
    check([fault]);
  },
);

test("[check-plan 1] all of them in one copy are found, and no other fault", () => {
  expect(seededFaults.length).toBeGreaterThanOrEqual(30);
  check(seededFaults);
});

// Every eighth pair, or all of them with LANEHOLD_PAIRS=1.
const every = Number(process.env["LANEHOLD_PAIRS"] ?? 8);
const inPairs = seededFaults
  .flatMap((first, place) =>
    seededFaults.slice(place + 1).map((second) => [first, second] as const),
  )
  .filter((_, place) => place % every === 0);

test("[check-plan 1] two of them together are found, and no other fault", () => {
  for (const pair of inPairs) check(pair);
});
