import { expect, test } from "vitest";
import { checkLight } from "../../../../machines/light/check-light.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aDuration, aStep } from "../../../support/procedure-parts.ts";
import { demoNames, demoProcedure } from "../../workers/hub/demo/demo-documents.ts";

// The lights of this procedure are on for an hour.
function gradesOf(likelyMinutes: number, mostMinutes: number, needsWindows: readonly string[]) {
  const duration = aDuration(60, likelyMinutes * 60, mostMinutes * 60);
  const steps = [aStep("look", { duration, needsWindows: needsWindows as never })];
  const found = checkLight(indexProcedure(aProcedure({ steps, meets: [], clocks: [] })));
  return found.map(({ kind, grade }) => `${kind} ${grade}`);
}

test("[check-light 1] a step longer than the longest light is a fault or a doubt", () => {
  expect(gradesOf(30, 60, ["lights-on"])).toEqual([]);
  expect(gradesOf(30, 61, ["lights-on"])).toEqual(["light-missing doubt"]);
  expect(gradesOf(61, 90, ["lights-on"])).toEqual(["light-missing fault"]);
  expect(gradesOf(61, 90, [])).toEqual([]);
});

test.each(demoNames)("[check-light 1] %s has light enough", (name) => {
  expect(checkLight(indexProcedure(demoProcedure(name)))).toEqual([]);
});
