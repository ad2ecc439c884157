// The network of a procedure against the earliest times, which are computed another way, and by hand.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { ProcedureIndex } from "../../../../machines/procedure/procedure-index.ts";
import type { ClockId, MeetId, PositionId, StepId } from "../../../../machines/procedure/ids.ts";
import type { Clock } from "../../../../machines/procedure/procedure.ts";
import type { Step } from "../../../../machines/procedure/step.ts";
import { plannedTimes } from "../../../../machines/time/planned-times.ts";
import { networkOfProcedure } from "../../../../machines/time/procedure-network.ts";
import type { NetworkQuestion, Span } from "../../../../machines/time/procedure-network.ts";
import { networkTimes } from "../../../../machines/time/simple-network.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aDuration, aStep } from "../../../support/procedure-parts.ts";
import { demoNames, demoProcedure } from "../../workers/hub/demo/demo-documents.ts";

test("[procedure-network 2] at likely durations its earliest times are the planned ones", () => {
  for (const name of demoNames) {
    const procedure = demoProcedure(name);
    // Planned times look for open windows as they go; here they are left out on both sides.
    const steps = procedure.steps.map((step) => ({ ...step, needsWindows: [] }));
    const index = indexProcedure({ ...procedure, steps });
    const { network, startPoints, endPoints } = networkOfProcedure(index, likely(index));
    const bounds = network.contingents.flatMap(({ activation, end, leastSeconds: seconds }) => [
      { from: activation, to: end, seconds },
      { from: end, to: activation, seconds: -seconds },
    ]);
    const all = { points: network.points, bounds: [...network.bounds, ...bounds] };
    const { times } = networkTimes(all, 0);
    const planned = plannedTimes(index);
    expect(planned.byStep.size).toBe(startPoints.size);
    for (const [step, { startSeconds, endSeconds }] of planned.byStep) {
      expect(times?.earliestSeconds[startPoints.get(step) ?? -1], step).toBeCloseTo(
        startSeconds,
        6,
      );
      expect(times?.earliestSeconds[endPoints.get(step) ?? -1], step).toBeCloseTo(endSeconds, 6);
    }
    expect(times?.earliestSeconds[1]).toBeCloseTo(planned.endSeconds, 6);
  }
});

test("[procedure-network 1] [procedure-network 6] each step in play is a contingent span", () => {
  const index = indexProcedure(demoProcedure("petrel-deck"));
  const told = networkOfProcedure(index, {
    ...likely(index),
    rangeOf: ({ duration }) => ({
      leastSeconds: duration.minSeconds,
      mostSeconds: duration.maxSeconds,
    }),
  });
  const inPlay = index.procedure.steps.filter(({ id }) => !index.contingencySteps.has(id));
  expect(told.stepsOfContingents).toEqual(inPlay.map(({ id }) => id));
  expect(told.reasons).toHaveLength(told.network.bounds.length);
  for (const [place, { activation, end, ...range }] of told.network.contingents.entries()) {
    const step = inPlay[place];
    expect(told.points[activation]).toEqual({ sort: "start", step: step?.id });
    expect(told.points[end]).toEqual({ sort: "done", step: step?.id });
    expect(range).toEqual({
      leastSeconds: step?.duration.minSeconds,
      mostSeconds: step?.duration.maxSeconds,
    });
  }
});

test("[procedure-network 2] a step starts when its meet is reached", () => {
  const steps = [
    lane("ev1", "a", { duration: aDuration(5, 5, 5) }),
    lane("ev1", "b", { meet: "m" as MeetId }),
    lane("ev2", "c", { duration: aDuration(9, 9, 9) }),
    lane("ev2", "d", { meet: "m" as MeetId }),
  ];
  const found = reasonsOf(steps, {});
  expect(found).toContain("lane b after a");
  expect(found).toContain("lane d after c");
  expect(found).toContain("meet m before b");
  expect(found).toContain("meet m before d");
});

test("[procedure-network 3] a clock binds only between steps in play", () => {
  const steps = [lane("ev1", "a"), lane("ev1", "b")];
  const clocks = [clock("a", "b", 5, 50)];
  expect(reasonsOf(steps, {}, clocks)).toContain("clock-at-least clock");
  expect(reasonsOf(steps, {}, clocks)).toContain("clock-at-most clock");
  const withoutB = { isInPlay: ({ id }: Step) => id !== "b" };
  expect(reasonsOf(steps, withoutB, clocks).filter((says) => says.includes("clock"))).toEqual([]);
  const withoutClock = { hasClock: () => false };
  expect(reasonsOf(steps, withoutClock, clocks).join()).not.toContain("clock");
});

test("[procedure-network 4] a step that needs windows starts inside its span", () => {
  const steps = [lane("ev1", "a", { needsWindows: aProcedure().windows.map(({ id }) => id) })];
  const index = indexProcedure(aProcedure({ steps, clocks: [], tasks: aProcedure().tasks }));
  const span: Span = { fromSeconds: 100, toSeconds: 200 };
  const { network, startPoints } = networkOfProcedure(index, {
    ...likely(index),
    spanOf: () => span,
  });
  const { times } = networkTimes(network, 0);
  const start = startPoints.get("a" as StepId) ?? -1;
  expect(times?.earliestSeconds[start]).toBe(100);
  expect(times?.latestSeconds[start]).toBe(200);
});

test("[procedure-network 5] the run's end comes after every lane's and within the limit", () => {
  const steps = [lane("ev1", "a"), lane("ev1", "b"), lane("ev2", "c")];
  const found = reasonsOf(steps, { runSecondsMax: 500 });
  expect(found.filter((says) => says.startsWith("run"))).toEqual([
    "run-start",
    "run-start",
    "run-start",
    "run-start",
    "run-end b",
    "run-end c",
    "run-limit",
  ]);
});

function likely(index: ProcedureIndex): NetworkQuestion {
  return {
    isInPlay: (step) => !index.contingencySteps.has(step.id),
    rangeOf: ({ duration }) => ({
      leastSeconds: duration.likelySeconds,
      mostSeconds: duration.likelySeconds,
    }),
    spanOf: () => null,
    hasClock: () => true,
    runSecondsMax: null,
  };
}

function lane(position: string, id: string, overrides: Partial<Step> = {}): Step {
  return aStep(id, { lane: position as PositionId, ...overrides });
}

function clock(from: string, to: string, atLeastSeconds: number, atMostSeconds: number): Clock {
  return {
    id: "clock" as ClockId,
    name: "clock",
    sort: "other",
    from: { step: from as StepId, at: "done" },
    to: { step: to as StepId, at: "start" },
    atLeastSeconds,
    atMostSeconds,
    why: "test",
  };
}

function reasonsOf(
  steps: readonly Step[],
  question: Partial<NetworkQuestion>,
  clocks: readonly Clock[] = [],
): string[] {
  const meets = [{ id: "m" as MeetId, name: "m" }];
  const index = indexProcedure(aProcedure({ steps, clocks, meets, windows: [] }));
  const { reasons } = networkOfProcedure(index, { ...likely(index), ...question });
  return reasons.map((reason) => {
    if ("before" in reason) return `${reason.sort} ${reason.step} after ${reason.before}`;
    if ("meet" in reason) return `meet ${reason.meet} before ${reason.step}`;
    if ("clock" in reason) return `${reason.sort} ${reason.clock}`;
    return "step" in reason ? `${reason.sort} ${reason.step}` : reason.sort;
  });
}
