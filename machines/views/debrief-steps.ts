// Planned against as run, step by step.
//
// [debrief-steps 1] Every step of a lane that was in play is there once, in the lane's order.
// [debrief-steps 2] Time worked is end less start less time on hold; it alone is judged against the
//   planned range.
// [debrief-steps 3] A step without both a start and an end is not judged.

import type { StepId } from "../procedure/ids.ts";
import type { Duration } from "../procedure/duration.ts";
import type { Position } from "../procedure/procedure.ts";
import type { Step } from "../procedure/step.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { RunState, StepState } from "../record/run-state.ts";
import type { Timetable } from "../time/earliest-times.ts";
import { stepNumber } from "./words.ts";

/** A lane of the debrief. */
export type DebriefLane = { readonly position: Position; readonly steps: readonly DebriefStep[] };

/** A step, planned and as run; seconds from the run's start. */
export type DebriefStep = {
  readonly step: StepId;
  readonly number: number;
  readonly text: string;
  readonly taskName: string;
  readonly duration: Duration;
  readonly plannedStartSeconds: number | null;
  readonly startSeconds: number | null;
  readonly endSeconds: number | null;
  readonly workedSeconds: number | null;
  readonly heldSeconds: number;
  readonly verdict: Verdict | null;
  readonly state: StepState;
  readonly reason: string | null;
};

/** How the time worked stands to the planned range. */
type Verdict =
  | { readonly is: "within" }
  | { readonly is: "shorter" | "longer"; readonly bySeconds: number };

/** Every lane with steps, in the procedure's order. */
export function debriefLanes(
  index: ProcedureIndex,
  planned: Timetable,
  state: RunState,
): readonly DebriefLane[] {
  return index.procedure.positions.flatMap((position) => {
    const steps = (index.stepsByLane.get(position.id) ?? []).filter(
      (step) => state.steps[step.id]?.inPlay ?? !index.contingencySteps.has(step.id),
    );
    if (steps.length === 0) return [];
    return [{ position, steps: steps.map((step) => debriefStep(index, planned, state, step)) }];
  });
}

function debriefStep(
  index: ProcedureIndex,
  planned: Timetable,
  state: RunState,
  step: Step,
): DebriefStep {
  const inRun = state.steps[step.id];
  // A step that was called done without having been started has both times at once: its start is
  // not known.
  const isStartKnown = inRun !== undefined && inRun.startedAtMs !== inRun.finishedAtMs;
  const startSeconds = isStartKnown ? fromStart(state, inRun.startedAtMs) : null;
  const endSeconds = fromStart(state, inRun?.finishedAtMs);
  const heldSeconds = (inRun?.heldMs ?? 0) / 1000;
  const workedSeconds =
    startSeconds === null || endSeconds === null
      ? null
      : Math.max(0, endSeconds - startSeconds - heldSeconds);
  const inRunState = inRun?.state ?? "standing-by";
  return {
    step: step.id,
    number: stepNumber(index, step.id),
    text: step.text,
    taskName: index.tasksById.get(step.task)?.name ?? step.task,
    duration: step.duration,
    plannedStartSeconds: planned.byStep.get(step.id)?.startSeconds ?? null,
    startSeconds,
    endSeconds,
    workedSeconds,
    heldSeconds,
    verdict: inRunState === "done" ? judge(step.duration, workedSeconds) : null,
    state: inRunState,
    reason: inRun?.reason ?? null,
  };
}

function fromStart(state: RunState, ms: number | null | undefined): number | null {
  if (ms === null || ms === undefined || state.startedAtMs === null) return null;
  return (ms - state.startedAtMs) / 1000;
}

function judge(duration: Duration, workedSeconds: number | null): Verdict | null {
  if (workedSeconds === null) return null;
  if (workedSeconds < duration.minSeconds) {
    return { is: "shorter", bySeconds: duration.minSeconds - workedSeconds };
  }
  if (workedSeconds > duration.maxSeconds) {
    return { is: "longer", bySeconds: workedSeconds - duration.maxSeconds };
  }
  return { is: "within" };
}
