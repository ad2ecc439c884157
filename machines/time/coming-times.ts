// Coming times: when what remains of a run starts and ends, from what has happened so far.
//
// [coming 1] It is a range, never one figure: the early side takes every remaining duration at its
//   least, the late side at its most.
// [coming 2] What has happened stays where it was; a step that is being worked has used the time
//   since its start, without the time on hold.
// [coming 3] A step that was deferred or not performed takes no time and nothing waits for it.
// [coming 4] It supposes that every hold ends now and that nobody waits longer than they must: it is
//   an estimate, and whoever shows it says so.

import type { StepId } from "../procedure/ids.ts";
import type { Duration } from "../procedure/duration.ts";
import type { Step } from "../procedure/step.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { RunState } from "../record/run-state.ts";
import { earliestTimes } from "./earliest-times.ts";
import type { Timetable } from "./earliest-times.ts";

/** Three timetables over the same steps; seconds from the run's start. */
export type ComingTimes = {
  readonly early: Timetable;
  readonly likely: Timetable;
  readonly late: Timetable;
};

/**
 * When the steps in play start and end, at the least, the likely and the most that their durations
 * allow.
 *
 * @param nowMs the hub's time, milliseconds since 1970; before the run's start the answer is the plan's
 * Errors: none.
 * Source: see `earliestTimes`; it grows with each duration, so least and most durations bound it.
 */
export function comingTimes(index: ProcedureIndex, state: RunState, nowMs: number): ComingTimes {
  const timesFor = (pick: (duration: Duration) => number) =>
    earliestTimes(index, {
      isInPlay: (step) => isInPlay(index, state, step),
      durationSeconds: (step) => pick(step.duration) + (state.steps[step.id]?.heldMs ?? 0) / 1000,
      knownStartSeconds: (step) => knownStart(state, step.id),
      knownEndSeconds: (step) => secondsFromStart(state, state.steps[step.id]?.finishedAtMs),
      notBeforeSeconds: Math.max(0, secondsFromStart(state, nowMs) ?? 0),
    });
  return {
    early: timesFor((duration) => duration.minSeconds),
    likely: timesFor((duration) => duration.likelySeconds),
    late: timesFor((duration) => duration.maxSeconds),
  };
}

function isInPlay(index: ProcedureIndex, state: RunState, step: Step): boolean {
  const inRun = state.steps[step.id];
  if (inRun === undefined) return !index.contingencySteps.has(step.id);
  return inRun.inPlay && inRun.state !== "deferred" && inRun.state !== "not-performed";
}

// A step that was called done without having been started began, for all we know, when it ended.
function knownStart(state: RunState, id: StepId): number | null {
  const step = state.steps[id];
  return secondsFromStart(state, step?.startedAtMs ?? step?.finishedAtMs);
}

function secondsFromStart(state: RunState, ms: number | null | undefined): number | null {
  if (ms === null || ms === undefined || state.startedAtMs === null) return null;
  return (ms - state.startedAtMs) / 1000;
}
