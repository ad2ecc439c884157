import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../../../machines/base/seeded-random.ts";
import type { MeetId, WindowId } from "../../../../machines/procedure/ids.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { ProcedureIndex } from "../../../../machines/procedure/procedure-index.ts";
import type { Clock, TimeWindow } from "../../../../machines/procedure/procedure.ts";
import type { Step } from "../../../../machines/procedure/step.ts";
import { checkTime } from "../../../../machines/time/check-time.ts";
import { networkOfProcedure } from "../../../../machines/time/procedure-network.ts";
import { isControllableByClosure } from "../../../support/morris-muscettola-2005.ts";
import { demoNames, demoProcedure } from "../../workers/hub/demo/demo-documents.ts";
import { aClock, aTimedPlan, ev2, ofTask, timed } from "./a-timed-plan.ts";

test("[time 1] something is found exactly if a closure by published rules says so", () => {
  const counts = { found: 0, clean: 0 };
  for (let seed = 1; seed <= 120; seed += 1) {
    const index = aRandomPlan(createSeededRandom(seed));
    const { network } = networkOfProcedure(index, {
      isInPlay: () => true,
      rangeOf: ({ duration }) => ({
        leastSeconds: duration.minSeconds,
        mostSeconds: duration.maxSeconds,
      }),
      spanOf: () => null,
      hasClock: () => true,
      runSecondsMax: index.procedure.limits.runSecondsMax,
    });
    const found = checkTime(index);
    expect(found.length === 0, `seed ${seed}`).toBe(isControllableByClosure(network));
    counts[found.length === 0 ? "clean" : "found"] += 1;
  }
  expect(Math.min(counts.found, counts.clean)).toBeGreaterThan(20);
});

test("[time 1] the demo procedures are clean of faults; the long one must defer at the worst", () => {
  for (const name of demoNames) {
    const found = checkTime(indexProcedure(demoProcedure(name)));
    expect(found.filter(({ grade }) => grade === "fault")).toEqual([]);
  }
  const [limit, ...others] = checkTime(indexProcedure(demoProcedure("petrel-deck")));
  expect(others).toEqual([]);
  expect(limit?.kind).toBe("run-limit-cannot-be-kept");
  expect(limit?.grade).toBe("doubt");
  expect(limit?.isKeptAtLikely).toBe(true);
  expect(limit?.deferring).toEqual(["shield"]);
  expect(limit?.mends).toEqual([
    { what: { sort: "run-limit" }, fromSeconds: 25_200, toSeconds: 25_200 + 2590 },
  ]);
});

test("[time 1] a clock that runs out names who takes too long and what would mend it", () => {
  const steps = [
    timed("off", [60, 60, 60]),
    timed("bolts", [600, 900, 1500]),
    timed("on", [30, 30, 30]),
  ];
  const heater = aClock("heater", "off done", "on done", { atMost: 1320 });
  const [found, ...others] = checkTime(aTimedPlan(steps, { clocks: [heater] }));
  expect(others).toEqual([]);
  expect(found).toMatchObject({
    kind: "clock-cannot-be-kept",
    grade: "fault",
    clocks: ["heater"],
    missingSeconds: 210,
    isKeptAtLikely: true,
    deferring: [],
  });
  expect(found?.steps).toContain("bolts");
  const mends = found?.mends ?? [];
  expect(mends).toContainEqual({
    what: { sort: "duration-most", step: "bolts" },
    fromSeconds: 1500,
    toSeconds: 1290,
  });
  expect(mends).toContainEqual({
    what: { sort: "clock-at-most", clock: "heater" },
    fromSeconds: 1320,
    toSeconds: 1530,
  });
});

test("[time 1] who must start before something whose end nobody knows is found out", () => {
  // EV2's step must start 60 to 90 s before EV1's ends; EV1's takes 100 to 200 s.
  const steps = [timed("drive", [100, 150, 200]), timed("hold", [10, 10, 10], ev2)];
  const before = aClock("grip", "hold start", "drive done", { atLeast: 60, atMost: 90 });
  const [found] = checkTime(aTimedPlan(steps, { clocks: [before] }));
  expect(found).toMatchObject({ kind: "clock-cannot-be-kept", clocks: ["grip"] });
  expect(found?.missingSeconds).toBe(70);
  const roomy = aClock("grip", "hold start", "drive done", { atLeast: 60, atMost: 160 });
  expect(checkTime(aTimedPlan(steps, { clocks: [roomy] }))).toEqual([]);
});

test("[time 2] the least important tasks are deferred, and no more than needed", () => {
  const steps = [
    timed("main", [100, 100, 200]),
    timed("one", [50, 50, 80], ofTask("second")),
    timed("two", [50, 50, 90], ofTask("third")),
    timed("three", [5, 5, 10], ofTask("fourth")),
  ];
  const deferrable = ["second", "third", "fourth"];
  const check = (limit: number) => checkTime(aTimedPlan(steps, { limit, deferrable }));
  expect(check(380)).toEqual([]);
  expect(check(370)).toMatchObject([{ grade: "doubt", deferring: ["fourth"] }]);
  expect(check(295)).toMatchObject([{ grade: "doubt", deferring: ["third"] }]);
  expect(check(215)).toMatchObject([{ grade: "doubt", deferring: ["third", "second"] }]);
  expect(check(150)).toMatchObject([{ grade: "fault", isKeptAtLikely: false, deferring: [] }]);
});

test("[time 2] a task is not deferred to be rid of its own clock", () => {
  const steps = [
    timed("a", [10, 10, 90], ofTask("second")),
    timed("b", [10, 10, 10], ofTask("second")),
  ];
  const clocks = [aClock("own", "a start", "b done", { atMost: 50 })];
  const found = checkTime(aTimedPlan(steps, { clocks, deferrable: ["second"] }));
  expect(found).toMatchObject([{ grade: "fault", clocks: ["own"], deferring: [] }]);
});

test("[time 3] what holds only while a contingency does not come up is a doubt with its name", () => {
  const steps = [
    timed("off", [10, 10, 10]),
    timed("free", [100, 100, 100], ofTask("stuck")),
    timed("clean", [5, 5, 5], ofTask("dirty")),
    timed("on", [10, 10, 10]),
  ];
  const clocks = [aClock("cold", "off done", "on done", { atMost: 60 })];
  const contingency = ["stuck", "dirty"];
  expect(checkTime(aTimedPlan(steps, { clocks, contingency }))).toMatchObject([
    { kind: "clock-cannot-be-kept", grade: "doubt", clocks: ["cold"], onlyWith: ["stuck"] },
  ]);
  const together = [aClock("cold", "off done", "on done", { atMost: 112 })];
  expect(checkTime(aTimedPlan(steps, { clocks: together, contingency }))).toMatchObject([
    { grade: "doubt", onlyWith: ["stuck", "dirty"] },
  ]);
});

test("[time 4] a window that no choice beforehand is sure to meet is a doubt, a lost one a fault", () => {
  const steps = [
    timed("work", [100, 200, 400]),
    timed("photo", [10, 10, 10], { needsWindows: ["light"] }),
  ];
  const check = (...spans: [number, number][]) =>
    checkTime(aTimedPlan(steps, { windows: [light(spans)], limit: 1000 }));
  expect(check([0, 500])).toEqual([]);
  expect(check([0, 150], [450, 900])).toEqual([]);
  expect(check([0, 300])).toMatchObject([
    { kind: "window-can-be-missed", grade: "doubt", steps: ["photo"], windows: ["light"] },
  ]);
  expect(check([0, 150])).toMatchObject([{ kind: "window-can-be-missed", grade: "fault" }]);
  // Waiting for the next span is possible, but then the run is too long.
  expect(check([0, 300], [995, 2000])).toMatchObject([
    { kind: "window-can-be-missed", grade: "doubt" },
  ]);
});

test("[time 5] every clock that cannot be kept is found, each once", () => {
  const steps = [timed("a", [10, 20, 90]), timed("b", [10, 20, 90]), timed("c", [10, 20, 90], ev2)];
  const clocks = [
    aClock("first", "a start", "a done", { atMost: 50 }),
    aClock("second", "b start", "b done", { atMost: 50 }),
    aClock("third", "a start", "b done", { atMost: 150 }),
    aClock("kept", "c start", "c done", { atMost: 90 }),
  ];
  const found = checkTime(aTimedPlan(steps, { clocks, limit: 100 }));
  expect(found.map(({ kind, clocks: [clock] }) => clock ?? kind).toSorted()).toEqual([
    "first",
    "run-limit-cannot-be-kept",
    "second",
    "third",
  ]);
});

test("[time 6] steps that wait for each other are found alone", () => {
  const meet = { meet: "m" as MeetId };
  const steps = [
    timed("a", [0, 1, 2], { after: ["d"] }),
    timed("b", [0, 1, 2], meet),
    timed("c", [0, 1, 2], { ...ev2, ...meet }),
    timed("d", [0, 1, 2], ev2),
  ];
  const clocks = [aClock("short", "a start", "a done", { atMost: 1 })];
  const found = checkTime(aTimedPlan(steps, { clocks }));
  expect(found).toMatchObject([{ kind: "order-circle", grade: "fault", clocks: [] }]);
  // b is in it too: its meet, for which c waits, waits for a.
  expect(found[0]?.steps.toSorted()).toEqual(["a", "b", "c", "d"]);
});

function light(spans: readonly (readonly [number, number])[]): TimeWindow {
  return {
    id: "light" as WindowId,
    name: "Light",
    sort: "light",
    spans: spans.map(([fromSeconds, toSeconds]) => ({ fromSeconds, toSeconds })),
  };
}

function aRandomPlan(random: SeededRandom): ProcedureIndex {
  const count = 2 + random.nextBelow(3);
  const ids = Array.from({ length: count }, (_, place) => `s${place}`);
  const steps = ids.map((id, place): Step => {
    const least = random.nextBelow(6);
    const most = least + random.nextBelow(8);
    const before = random.nextBelow(place + 2);
    return timed(id, [least, least, most], {
      lane: random.nextBelow(2) === 0 ? "ev1" : "ev2",
      after: before < place ? [`s${before}`] : [],
    });
  });
  const clocks = ids.slice(1).map((_, place): Clock => {
    const [from = "s0", to = "s1"] = [ids[random.nextBelow(count)], ids[random.nextBelow(count)]];
    const at = () => (random.nextBelow(2) === 0 ? "start" : "done");
    const atLeast = random.nextBelow(8) - 4;
    const bounds = { atLeast, atMost: atLeast + random.nextBelow(20) };
    return aClock(`c${place}`, `${from} ${at()}`, `${to} ${at()}`, bounds);
  });
  return aTimedPlan(steps, { clocks, limit: 10 + random.nextBelow(40) });
}
