// The way back against a search from each state by itself, and against sums by hand.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { Procedure } from "../../../../machines/procedure/procedure.ts";
import { buildReturnGraph, secondsHome } from "../../../../machines/reach-back/return-graph.ts";
import type { Spot } from "../../../../machines/reach-back/return-graph.ts";
import { usualReturnRules } from "../../../../machines/reach-back/return-rules.ts";
import { findLongReturns, returnTimes } from "../../../../machines/reach-back/return-times.ts";
import { listSuitedMoments } from "../../../../machines/reach-back/suited-moments.ts";
import { orderPlay } from "../../../../machines/plan/check-plan.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aDuration, aPath, aPosition, aSite, aTether } from "../../../support/procedure-parts.ts";
import { mayBe, searchReturn, type SearchState } from "../../../support/search-return.ts";
import { partOf, stepOf, type Draft } from "../../../support/seeded-faults.ts";
import { demoProcedure, type DemoName } from "../../workers/hub/demo/demo-documents.ts";

const costs = {
  hook: usualReturnRules.hookSeconds,
  unhook: usualReturnRules.unhookSeconds,
  stepOver: usualReturnRules.stepOverSeconds,
  arm: usualReturnRules.moveArmSeconds,
};

function isAtHatch({ site }: SearchState): boolean {
  return site === "hatch";
}

/** A random mockup: a hatch, some sites, paths among them, an arm or none, two tethers. */
function aMockup(seed: number): Procedure {
  const random = createSeededRandom(seed);
  const names = ["hatch", "a", "b", "c", "d"].slice(0, 3 + random.nextBelow(3));
  const pick = () => names[random.nextBelow(names.length)] ?? "hatch";
  const paths = Array.from({ length: 2 + random.nextBelow(5) }, (_, place) => {
    const seconds = 5 + random.nextBelow(60);
    return {
      ...aPath(`p${place}`, pick(), pick(), 1 + random.nextBelow(6)),
      duration: aDuration(1, 2, seconds),
    };
  }).filter(({ from, to }) => from !== to);
  const hasArm = random.nextBelow(2) === 1;
  const anchors = () =>
    ["tip", ...names].filter((name) => (hasArm || name !== "tip") && random.nextBelow(2) > 0);
  const tether = (id: string) => ({
    ...aTether(id, "ev1"),
    lengthMetres: 1 + random.nextBelow(12),
    anchorSites: anchors() as never,
    startsAnchoredAt: null,
  });
  return aProcedure({
    positions: [aPosition("ev1", { startsAt: "hatch" as never })],
    sites: [
      ...names.map((name) => aSite(name, { sort: name === "hatch" ? "hatch" : "worksite" })),
      aSite("tip", { sort: "arm-tip" }),
    ],
    paths,
    tethers: [tether("t1"), tether("t2")],
    arms: hasArm
      ? [
          {
            id: "arm",
            name: "Arm",
            tip: "tip",
            reaches: names.slice(0, 2),
            startsAt: names[0],
          } as never,
        ]
      : [],
    items: [],
    steps: [],
    meets: [],
    clocks: [],
    hardware: [],
  });
}

test("[return-graph 1], [return-graph 2], [return-graph 3] every state has the least time that a search from it finds", () => {
  let ways = 0;
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 1e9 }), (seed) => {
      const procedure = aMockup(seed);
      const index = indexProcedure(procedure);
      const closedPaths = new Set<never>();
      const position = "ev1" as never;
      const ground = { position, closedPaths, rules: usualReturnRules };
      const graph = buildReturnGraph(index, ground);
      const seconds = secondsHome(graph, ({ site }) => site === ("hatch" as never));
      for (const spot of graph.spots) {
        for (const hooking of graph.hookings) {
          const state: SearchState = { ...spot, hooked: hooking };
          const number = graph.stateOf(spot, hooking);
          expect(graph.isAllowed[number]).toBe(mayBe(procedure, "ev1", state) ? 1 : 0);
          if (graph.isAllowed[number] !== 1) continue;
          const least = searchReturn(procedure, "ev1", state, { costs, isHome: isAtHatch });
          expect([seed, seconds[number]]).toEqual([seed, least]);
          if (least > 0 && least < Infinity) ways += 1;
        }
      }
    }),
    { numRuns: 60 },
  );
  expect(ways).toBeGreaterThan(300);
});

function timesOf(name: DemoName, plant: (draft: Draft) => unknown = () => {}) {
  const draft = structuredClone(demoProcedure(name)) as Draft;
  plant(draft);
  const index = indexProcedure(draft);
  const times = returnTimes(index);
  const point = (id: string) => times.points.find(({ step }) => step === id);
  return { index, times, point };
}

// By hand, at most times: valve face to ring 7 30 s, six bays of 55 s, ring 1 to porch 55 s, to hatch 30 s.
const fromValveFace = 30 + 6 * 55 + 55 + 30;

test("[return-times 1] from the valve face it is the sum of the way, the restraint and the hooks", () => {
  const { point } = timesOf("petrel-deck");
  const { leaveRestraintSeconds, unhookSeconds, gatherSeconds, hookSeconds } = usualReturnRules;
  expect(point("ev1-to-valve")?.abortSeconds).toBe(fromValveFace);
  expect(point("ev1-part-power")?.abortSeconds).toBe(
    leaveRestraintSeconds + unhookSeconds + fromValveFace,
  );
  // Orderly: the bag that hangs there; on the porch out of it, in to hook at the hatch, and for the reel out.
  const porch = 2 * 30 + hookSeconds + 2 * unhookSeconds;
  expect(point("ev1-part-power")?.terminateSeconds).toBeLessThanOrEqual(
    leaveRestraintSeconds + unhookSeconds + gatherSeconds + fromValveFace + porch,
  );
  expect(point("ev1-part-power")?.terminateSeconds).toBeGreaterThan(
    leaveRestraintSeconds + unhookSeconds + gatherSeconds + fromValveFace,
  );
});

test("[return-times 1] a step on a way has the longest of the returns along it", () => {
  const { point } = timesOf("petrel-deck");
  expect(point("ev1-to-ring-7")?.abortSeconds).toBe(6 * 55 + 55 + 30);
  expect(point("ev1-to-ring-7")?.spot.site).toBe("ring-7");
  expect(point("ev2-cable-bag-home")?.abortSeconds).toBe(55 + 55 + 30);
});

test("[return-times 2] a path that is closed for a time is no way back meanwhile", () => {
  const { point } = timesOf("petrel-deck", (draft) => {
    partOf(draft.paths, "porch--ring-1").closedWhile.push({
      hardware: "valve-blanket" as never,
      state: "open",
    });
  });
  expect(point("ev1-photo-before")?.abortSeconds).toBeLessThan(Infinity);
  expect(point("ev1-look-fittings")?.abortSeconds).toBe(Infinity);
});

test("[return-times 3] what is beyond the limit is told with the worst point", () => {
  const { index, times } = timesOf("petrel-deck", (draft) => {
    draft.limits.hatchWithinSeconds = 480;
  });
  const found = findLongReturns(index, times);
  const [abort, terminate] = ["fault", "doubt"].map((grade) =>
    found.find((f) => f.grade === grade && f.where.positions[0] === ("ev1" as never)),
  );
  expect(abort?.where.steps[0]).toBe("ev1-into-amber");
  expect(abort?.says).toContain("8.2 min by abort rules; the limit is 8 min");
  expect(terminate?.says).toContain("by terminate rules");
  expect(times.worstByLane.get("ev1" as never)?.abort.step).toBe(abort?.where.steps[0]);
  expect(findLongReturns(index, timesOf("petrel-deck").times).length).toBeGreaterThan(0);
  const sound = timesOf("petrel-deck");
  expect(findLongReturns(sound.index, sound.times)).toEqual([]);
});

test("[return-times 3] no way back at all is told as such", () => {
  const { index, times } = timesOf("first-steps", (draft) => {
    stepOf(draft, "ev1-01").effects = stepOf(draft, "ev1-01").effects.slice(0, 0);
  });
  const [finding] = findLongReturns(index, times);
  expect(finding?.says).toContain("no way back that keeps a tether hooked");
});

test("[suited-moments 1] a step has the state that it begins in and each that its effects bring", () => {
  const index = indexProcedure(demoProcedure("petrel-deck"));
  const moments = listSuitedMoments(index, orderPlay(index, []).order);
  const spots = (id: string) =>
    moments.filter(({ step }) => step === id).map(({ spot }: { spot: Spot }) => spot.site);
  expect(spots("ev1-to-ring-3")).toEqual(["porch", "ring-1", "ring-2", "ring-3"]);
  expect(spots("ev1-bag-in")).toEqual(["porch", "hatch", "hatch"]);
  const [, riding] = moments.filter(({ step }) => step === "ev2-step-on");
  expect(riding?.spot).toEqual({ site: "arm-tip", armAt: "porch" });
});
