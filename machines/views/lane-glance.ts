// A lane at a glance: what its position does now, what comes next, and how far behind the plan it is.
//
// Definition: a lane's *current* step is the one being worked, else the first in play that is not
//   finished; its *lag* is the expected start of that step less the planned one.
// [lane-glance 1] Time worked and time held are two figures, and their sum is the time since the start.
// [lane-glance 2] When something comes is a range, at the least and at the most that remains.

import type { PositionId, StepId } from "../procedure/ids.ts";
import type { Duration } from "../procedure/duration.ts";
import type { Position } from "../procedure/procedure.ts";
import type { Step } from "../procedure/step.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { RunState, StepState } from "../record/run-state.ts";
import type { ComingTimes } from "../time/coming-times.ts";
import type { Timetable } from "../time/earliest-times.ts";
import { lanesOfScope } from "./hold-view.ts";
import { blockWords, stepNumber } from "./words.ts";

/** One lane. */
export type LaneGlance = {
  readonly position: Position;
  /** Null: nothing is left to do in the lane. */
  readonly current: GlanceStep | null;
  readonly next: GlanceStep | null;
  readonly finishedCount: number;
  readonly inPlayCount: number;
  /** A hold that stands covers the lane. */
  readonly isHeld: boolean;
  /** More than 0: behind the plan. Null: the plan has no time for the current step. */
  readonly lagSeconds: number | null;
  /** When the lane's last step ends. */
  readonly end: SecondsRange | null;
};

/** A range of seconds from the run's start. */
export type SecondsRange = { readonly fromSeconds: number; readonly toSeconds: number };

/** A step of a lane. */
export type GlanceStep = {
  readonly step: StepId;
  readonly number: number;
  readonly text: string;
  readonly state: StepState;
  readonly siteName: string | null;
  readonly duration: Duration;
  /** Since its start, without the time on hold; null: not started. */
  readonly workedSeconds: number | null;
  readonly heldSeconds: number;
  readonly blocks: readonly string[];
  /** When it starts, or when it started. */
  readonly starts: SecondsRange | null;
  readonly ends: SecondsRange | null;
};

/** What lanes are seen from. */
export type GlanceGround = {
  readonly index: ProcedureIndex;
  readonly state: RunState;
  readonly planned: Timetable;
  readonly coming: ComingTimes;
  readonly nowMs: number;
};

/** Every lane that has steps, in the procedure's order. */
export function laneGlances(ground: GlanceGround): readonly LaneGlance[] {
  const { index } = ground;
  return index.procedure.positions.flatMap((position) =>
    (index.stepsByLane.get(position.id) ?? []).length === 0 ? [] : laneGlance(ground, position),
  );
}

/** Steps of a lane that are in play and not finished, in order. */
export function stepsLeft(
  index: ProcedureIndex,
  state: RunState,
  lane: PositionId,
): readonly Step[] {
  return stepsInPlay(index, state, lane).filter((step) => !isFinished(state, step.id));
}

/** A step as a lane at a glance shows it. */
export function glanceStep(ground: GlanceGround, step: Step): GlanceStep {
  const { index, state, coming, nowMs } = ground;
  const inRun = state.steps[step.id];
  const heldMs = heldSoFarMs(ground, step);
  const startedAtMs = inRun?.startedAtMs ?? null;
  const untilMs = inRun?.finishedAtMs ?? nowMs;
  return {
    step: step.id,
    number: stepNumber(index, step.id),
    text: step.text,
    state: inRun?.state ?? "standing-by",
    siteName: step.site === null ? null : (index.sitesById.get(step.site)?.name ?? step.site),
    duration: step.duration,
    workedSeconds: startedAtMs === null ? null : Math.max(0, untilMs - startedAtMs - heldMs) / 1000,
    heldSeconds: heldMs / 1000,
    // Two holds over one step are one reason to wait.
    blocks: [...new Set((inRun?.blocks ?? []).map((block) => blockWords(index, step.id, block)))],
    starts: rangeOf(coming, step.id, "startSeconds"),
    ends: rangeOf(coming, step.id, "endSeconds"),
  };
}

function laneGlance(ground: GlanceGround, position: Position): LaneGlance {
  const { index, state } = ground;
  const inPlay = stepsInPlay(index, state, position.id);
  const left = stepsLeft(index, state, position.id);
  const current = left.find((step) => state.steps[step.id]?.state === "working") ?? left[0];
  const next = left.find((step) => step !== current);
  const last = inPlay.at(-1);
  return {
    position,
    current: current === undefined ? null : glanceStep(ground, current),
    next: next === undefined ? null : glanceStep(ground, next),
    finishedCount: inPlay.length - left.length,
    inPlayCount: inPlay.length,
    isHeld: standingHoldsOf(ground, position.id).length > 0,
    lagSeconds: current === undefined ? null : lagOf(ground, current),
    end: last === undefined ? null : rangeOf(ground.coming, last.id, "endSeconds"),
  };
}

function stepsInPlay(index: ProcedureIndex, state: RunState, lane: PositionId): readonly Step[] {
  return (index.stepsByLane.get(lane) ?? []).filter(
    (step) => state.steps[step.id]?.inPlay ?? !index.contingencySteps.has(step.id),
  );
}

function isFinished(state: RunState, id: StepId): boolean {
  const finished: readonly (StepState | undefined)[] = [
    "done",
    "partly-done",
    "deferred",
    "not-performed",
  ];
  return finished.includes(state.steps[id]?.state);
}

function standingHoldsOf({ index, state }: GlanceGround, lane: PositionId) {
  return Object.values(state.holds).filter(
    (hold) => hold.releasedAtMs === null && lanesOfScope(index, hold.scope).includes(lane),
  );
}

// The state counts a hold that still stands up to the last entry; from there to now it is held too.
function heldSoFarMs(ground: GlanceGround, step: Step): number {
  const { state, nowMs } = ground;
  const inRun = state.steps[step.id];
  if (inRun === undefined || inRun.startedAtMs === null) return 0;
  if (inRun.finishedAtMs !== null) return inRun.heldMs;
  const isHeld = Object.values(state.holds).some(
    (hold) => hold.releasedAtMs === null && coversStep(ground.index, hold.scope, step),
  );
  if (!isHeld) return inRun.heldMs;
  const lastEntryMs = state.log.reduce(
    (last, line) => Math.max(last, line.atMs),
    inRun.startedAtMs,
  );
  return inRun.heldMs + Math.max(0, nowMs - lastEntryMs);
}

function coversStep(
  index: ProcedureIndex,
  scope: RunState["holds"][keyof RunState["holds"]]["scope"],
  step: Step,
): boolean {
  if (scope.covers === "task") return step.task === scope.task;
  return lanesOfScope(index, scope).includes(step.lane);
}

function lagOf({ planned, coming }: GlanceGround, step: Step): number | null {
  const plan = planned.byStep.get(step.id);
  const expected = coming.likely.byStep.get(step.id);
  if (plan === undefined || expected === undefined) return null;
  // A step that is being worked lags by what its end lags.
  return Math.max(expected.startSeconds - plan.startSeconds, expected.endSeconds - plan.endSeconds);
}

function rangeOf(
  coming: ComingTimes,
  id: StepId,
  at: "startSeconds" | "endSeconds",
): SecondsRange | null {
  const early = coming.early.byStep.get(id);
  const late = coming.late.byStep.get(id);
  if (early === undefined || late === undefined) return null;
  return { fromSeconds: early[at], toSeconds: late[at] };
}
