// The demo procedures hold together, however their durations turn out.

import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Duration } from "../../../../../machines/procedure/duration.ts";
import type { Procedure } from "../../../../../machines/procedure/procedure.ts";
import type { Step } from "../../../../../machines/procedure/step.ts";
import { closeOrder } from "../../../../support/walk-order.ts";
import { walkProcedure, type WalkOptions } from "../../../../support/walk-procedure.ts";
import { demoNames, demoProcedure, type DemoName } from "./demo-documents.ts";

function check(name: DemoName, options: WalkOptions, exceptRules: readonly string[] = []): number {
  const walk = walkProcedure(demoProcedure(name), options);
  const found = walk.inconsistencies.filter((found) => !exceptRules.includes(found.rule));
  expect(found).toEqual([]);
  expect(walk.spanByStep.size).toBe(walk.steps.length);
  return walk.endSeconds;
}

const tasksOf = (name: DemoName, is: "contingency" | "deferrable") =>
  demoProcedure(name)
    .tasks.filter((task) => task[is])
    .map((task) => task.id);

describe.each(demoNames)("%s", (name) => {
  test("it walks at likely durations with nothing wrong", () => {
    check(name, {});
  });

  test("it walks at least durations with nothing wrong", () => {
    check(name, { duration: "minSeconds" });
  });

  test("at most durations it keeps everything but the length of the run", () => {
    check(name, { duration: "maxSeconds" }, ["run-length"]);
  });

  test("at most durations it fits the run once every deferrable task is left out", () => {
    check(name, { duration: "maxSeconds", deferred: tasksOf(name, "deferrable") });
  });

  test("it walks with each contingency task, and with all of them", () => {
    const contingencies = tasksOf(name, "contingency");
    expect(contingencies.length).toBeGreaterThan(0);
    for (const called of [...contingencies.map((task) => [task]), contingencies]) {
      check(name, { contingencies: called });
    }
  });

  test("with all contingencies at most durations every clock is kept", () => {
    const contingencies = tasksOf(name, "contingency");
    check(name, { contingencies, duration: "maxSeconds" }, ["run-length"]);
  });

  test("it walks without each deferrable task, and without any of them", () => {
    const deferrable = tasksOf(name, "deferrable");
    for (const deferred of [...deferrable.map((task) => [task]), deferrable]) {
      check(name, { deferred });
    }
  });

  test("it walks with one lane at its fastest or slowest and the others opposite", () => {
    const procedure = demoProcedure(name);
    for (const { id: lane } of procedure.positions) {
      for (const [own, others] of [
        ["minSeconds", "maxSeconds"],
        ["maxSeconds", "minSeconds"],
      ] as const satisfies readonly (readonly (keyof Duration)[])[]) {
        const fixed = fixDurations(procedure, (step) => (step.lane === lane ? own : others));
        expect(faultsBesideLength(fixed, {})).toEqual([]);
      }
    }
  });

  test("it walks with any mixture of fastest and slowest steps", () => {
    const procedure = demoProcedure(name);
    const contingencies = tasksOf(name, "contingency");
    const mixture = fc.array(fc.boolean(), {
      minLength: procedure.steps.length,
      maxLength: procedure.steps.length,
    });
    fc.assert(
      fc.property(mixture, fc.boolean(), (isSlow, isTroubled) => {
        const fixed = fixDurations(procedure, (step) =>
          isSlow[procedure.steps.indexOf(step)] ? "maxSeconds" : "minSeconds",
        );
        const options = isTroubled ? { contingencies } : {};
        expect(faultsBesideLength(fixed, options)).toEqual([]);
      }),
      { numRuns: 15 },
    );
  });

  test("each clock is kept when all before it is fastest and all else slowest", () => {
    const procedure = demoProcedure(name);
    const before = closeOrder(procedure.steps);
    for (const clock of procedure.clocks) {
      const fixed = fixDurations(procedure, (step) =>
        before.get(clock.from.step)?.has(step.id) ? "minSeconds" : "maxSeconds",
      );
      for (const contingencies of [[], tasksOf(name, "contingency")]) {
        expect(faultsBesideLength(fixed, { contingencies })).toEqual([]);
      }
    }
  });
});

test("first-steps takes about an hour", () => {
  const minutes = check("first-steps", {}) / 60;
  expect(minutes).toBeGreaterThanOrEqual(50);
  expect(minutes).toBeLessThanOrEqual(65);
});

test("petrel-deck takes about six hours and leaves its reserve", () => {
  const seconds = check("petrel-deck", {});
  expect(seconds / 3600).toBeGreaterThanOrEqual(5.5);
  expect(seconds / 3600).toBeLessThanOrEqual(6.5);
  const { runSecondsMax, reserveSeconds } = demoProcedure("petrel-deck").limits;
  expect(seconds + reserveSeconds).toBeLessThanOrEqual(runSecondsMax);
});

/** The same procedure with one duration for each step. */
function fixDurations(procedure: Procedure, pick: (step: Step) => keyof Duration): Procedure {
  const steps = procedure.steps.map((step) => {
    const seconds = step.duration[pick(step)];
    const duration = { minSeconds: seconds, likelySeconds: seconds, maxSeconds: seconds };
    return { ...step, duration };
  });
  return { ...procedure, steps };
}

function faultsBesideLength(procedure: Procedure, options: WalkOptions) {
  const found = walkProcedure(procedure, options).inconsistencies;
  return found.filter((f) => f.rule !== "run-length");
}
