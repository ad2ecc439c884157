// Small procedures for tests of time: steps by lane with their durations, and what binds them.

import type {
  ClockId,
  MeetId,
  PositionId,
  StepId,
  TaskId,
} from "../../../../machines/procedure/ids.ts";
import type { Clock, Procedure, TimeWindow } from "../../../../machines/procedure/procedure.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { ProcedureIndex } from "../../../../machines/procedure/procedure-index.ts";
import type { Step } from "../../../../machines/procedure/step.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aDuration, aStep, aTask } from "../../../support/procedure-parts.ts";

/** A step in a lane that takes from least over likely to most seconds. */
export function timed(
  id: string,
  seconds: readonly [number, number, number],
  overrides: { readonly [Member in keyof Step]?: Step[Member] | string | readonly string[] } = {},
): Step {
  return aStep(id, { duration: aDuration(...seconds), ...(overrides as Partial<Step>) });
}

/** From a moment of a step to one of another: "a done". */
export function aClock(
  id: string,
  from: string,
  to: string,
  bounds: { readonly atLeast?: number; readonly atMost?: number },
): Clock {
  return {
    id: id as ClockId,
    name: id,
    sort: "other",
    from: moment(from),
    to: moment(to),
    atLeastSeconds: bounds.atLeast ?? null,
    atMostSeconds: bounds.atMost ?? null,
    why: "test",
  };
}

function moment(text: string): Clock["from"] {
  const [step, at] = text.split(" ");
  return { step: step as StepId, at: at === "start" ? "start" : "done" };
}

/** A plan of these steps, in lanes EV1, EV2 and IV. */
export function aTimedPlan(
  steps: readonly Step[],
  parts: {
    readonly clocks?: readonly Clock[];
    readonly limit?: number;
    readonly windows?: readonly TimeWindow[];
    /** Names of tasks besides "bracket": deferrable ones and contingency ones. */
    readonly deferrable?: readonly string[];
    readonly contingency?: readonly string[];
  } = {},
): ProcedureIndex {
  const procedure: Procedure = aProcedure({
    steps,
    clocks: parts.clocks ?? [],
    windows: parts.windows ?? [],
    meets: [...new Set(steps.flatMap(({ meet }) => meet ?? []))].map((id: MeetId) => ({
      id,
      name: id,
    })),
    tasks: [
      aTask("bracket", { priority: 1 }),
      ...(parts.deferrable ?? []).map((id, place) =>
        aTask(id, { deferrable: true, priority: place + 2 }),
      ),
      ...(parts.contingency ?? []).map((id) => aTask(id, { contingency: true })),
    ],
    limits: { runSecondsMax: parts.limit ?? 100_000, reserveSeconds: 0, hatchWithinSeconds: 900 },
  });
  return indexProcedure(procedure);
}

/** In EV2's lane. */
export const ev2 = { lane: "ev2" as PositionId };
/** A task's id. */
export function ofTask(id: string): { readonly task: TaskId } {
  return { task: id as TaskId };
}
