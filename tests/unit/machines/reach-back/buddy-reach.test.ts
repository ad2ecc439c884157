// Whether each could reach the other, by examples that can be worked out by hand.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { buddyReach, findLostBuddies } from "../../../../machines/reach-back/buddy-reach.ts";
import { usualReturnRules } from "../../../../machines/reach-back/return-rules.ts";
import { partOf, stepOf, type Draft } from "../../../support/seeded-faults.ts";
import { demoProcedure, type DemoName } from "../../workers/hub/demo/demo-documents.ts";

function reachIn(name: DemoName, plant: (draft: Draft) => unknown = () => {}) {
  const draft = structuredClone(demoProcedure(name)) as Draft;
  plant(draft);
  const index = indexProcedure(draft);
  const points = buddyReach(index);
  const point = (id: string) => points.find(({ step }) => step === id);
  return { point, lost: findLostBuddies(index, points) };
}

test("[buddy-reach 1] it is the slowest over all that the other may be at meanwhile", () => {
  const { point } = reachIn("first-steps");
  // EV2 plugs in the lamp while EV1 may be anywhere from the door to the panel: mast to rail 90 s, rail to
  // panel 90 s, after letting go of the short tether.
  expect(point("ev2-03")?.reachSeconds).toBe(usualReturnRules.unhookSeconds + 90 + 90);
  expect(point("ev2-03")?.besideSpot.site).toBe("panel");
  // Both are at the panel when the filter goes over.
  expect(point("ev1-07")?.reachSeconds).toBe(0);
});

test("[buddy-reach 1] a tether that is too short keeps one from the other", () => {
  const { point, lost } = reachIn("first-steps", (draft) => {
    partOf(draft.tethers, "ev2-long").lengthMetres = 6.5;
  });
  expect(point("ev2-03")?.reachSeconds).toBe(90 + 90 + usualReturnRules.unhookSeconds);
  expect(lost).toEqual([]);
  const shorter = reachIn("first-steps", (draft) => {
    partOf(draft.tethers, "ev2-long").lengthMetres = 5.8;
  });
  expect(shorter.point("ev2-03")?.reachSeconds).toBe(Infinity);
  expect(shorter.lost[0]?.says).toContain("EV2 can't reach EV1 without hooking anew");
});

test("[buddy-reach 2] whom nobody reaches is told once for each pair, with all the steps", () => {
  const { lost } = reachIn("petrel-deck");
  expect(lost.map(({ grade, where }) => [grade, where.positions])).toEqual([
    ["doubt", ["ev2", "ev1"]],
  ]);
  expect(lost[0]?.where.steps).toContain("ev2-ride-1");
  const { lost: more } = reachIn("petrel-deck", (draft) => {
    stepOf(draft, "ev2-reel-off").effects = [];
  });
  // With the reel still hooked, the arm may not take EV2 anywhere, but the truss is in reach.
  expect(more.flatMap(({ where }) => where.steps)).not.toContain("ev2-look-spare");
});
