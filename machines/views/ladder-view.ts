// The ladder as plain data: what its drawing and its text twin both show.
//
// Definition: a *stretch* is a step on its lane's rail, as long as it lasts. Its layer says what the
//   times are: *planned*, *as run*, or *coming*, which is an estimate at likely durations.
// [ladder-view 1] A step that has started has one stretch as run and none coming; a step that has
//   not has one coming and none as run; a step that was in play from the beginning has one planned.
// [ladder-view 2] A meet has a rung wherever steps of two or more lanes have stretches of one layer.
// [ladder-view 3] A hold has a span on the lanes that it covers, up to now while it stands.

import type { GateId, MeetId, PositionId, StepId } from "../procedure/ids.ts";
import type { Marking } from "../procedure/procedure.ts";
import type { Step } from "../procedure/step.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { HoldId } from "../record/ids.ts";
import type { GateInRun, RunState, StepState } from "../record/run-state.ts";
import { comingTimes } from "../time/coming-times.ts";
import type { StepTimes, Timetable } from "../time/earliest-times.ts";
import { holdViews } from "./hold-view.ts";
import { positionName, stepNumber } from "./words.ts";

/** A ladder; all seconds are from the run's start. */
export type LadderView = {
  readonly lanes: readonly LadderLane[];
  /** From where to where anything is drawn; `toSeconds` is more than `fromSeconds`. */
  readonly fromSeconds: number;
  readonly toSeconds: number;
  /** Null: the run has not started, or is over. */
  readonly nowSeconds: number | null;
  /** By start, then by lane. */
  readonly stretches: readonly Stretch[];
  readonly rungs: readonly Rung[];
  readonly holds: readonly HoldSpan[];
};

/** A lane: one rail of the ladder. */
export type LadderLane = {
  readonly lane: PositionId;
  readonly name: string;
  readonly marking: Marking;
};

/** What the times of a stretch are. */
export type StretchLayer = "planned" | "as-run" | "coming";

/** A step on its rail. */
export type Stretch = {
  readonly step: StepId;
  readonly lane: PositionId;
  readonly layer: StretchLayer;
  /** Place in the lane, from 1. */
  readonly number: number;
  readonly text: string;
  /** Null before there is a run. */
  readonly state: StepState | null;
  readonly fromSeconds: number;
  readonly toSeconds: number;
  readonly gates: readonly GateBar[];
};

/** A gate as a bar across the rail. */
export type GateBar = {
  readonly gate: GateId;
  readonly before: "start" | "done";
  readonly isOpen: boolean;
};

/** A meet as a rung; one end per lane. */
export type Rung = {
  readonly meet: MeetId;
  readonly name: string;
  readonly layer: StretchLayer;
  readonly ends: readonly { readonly lane: PositionId; readonly seconds: number }[];
};

/** A hold along the rails that it covers. */
export type HoldSpan = {
  readonly hold: HoldId;
  readonly lanes: readonly PositionId[];
  readonly fromSeconds: number;
  readonly toSeconds: number;
  readonly reason: string;
  readonly isSimulated: boolean;
};

/**
 * The ladder of a run as it stands, or of a plan before there is a run.
 *
 * @param nowMs the hub's time, milliseconds since 1970
 * Errors: none; steps in a circle have no stretch.
 */
export function ladderView(
  index: ProcedureIndex,
  planned: Timetable,
  state: RunState | null,
  nowMs: number,
): LadderView {
  const runs = state !== null && state.startedAtMs !== null ? state : null;
  const isOver = runs === null || runs.closedAtMs !== null;
  const nowSeconds = isOver ? null : secondsOf(runs, nowMs);
  const stretches = [
    ...plannedStretches(index, planned, state),
    ...(runs === null ? [] : runStretches(index, runs, nowMs)),
  ].toSorted((a, b) => a.fromSeconds - b.fromSeconds || laneOrder(index, a) - laneOrder(index, b));
  const holds = runs === null ? [] : holdSpans(index, runs, nowMs);
  const ends = [...stretches, ...holds].map((span) => span.toSeconds);
  return {
    lanes: index.procedure.positions
      .filter((position) => (index.stepsByLane.get(position.id) ?? []).length > 0)
      .map(({ id, name, marking }) => ({ lane: id, name, marking })),
    fromSeconds: Math.min(0, ...stretches.map((stretch) => stretch.fromSeconds)),
    toSeconds: Math.max(60, nowSeconds ?? 0, ...ends),
    nowSeconds,
    stretches,
    rungs: rungsOf(index, stretches),
    holds,
  };
}

function secondsOf(state: RunState, ms: number): number {
  return (ms - (state.startedAtMs ?? ms)) / 1000;
}

function laneOrder(index: ProcedureIndex, stretch: Stretch): number {
  return index.lanes.indexOf(stretch.lane);
}

function plannedStretches(
  index: ProcedureIndex,
  planned: Timetable,
  state: RunState | null,
): Stretch[] {
  return index.procedure.steps.flatMap((step) => {
    const times = planned.byStep.get(step.id);
    if (times === undefined) return [];
    const gates = gateBars(index, step, null);
    return [stretchOf(index, step, { layer: "planned", times, gates, state })];
  });
}

function runStretches(index: ProcedureIndex, state: RunState, nowMs: number): Stretch[] {
  const coming = state.closedAtMs === null ? comingTimes(index, state, nowMs).likely : null;
  return index.procedure.steps.flatMap((step) => {
    const gates = gateBars(index, step, state.steps[step.id]?.gates ?? {});
    const asRun = timesAsRun(state, step, nowMs);
    if (asRun !== null) {
      return [stretchOf(index, step, { layer: "as-run", times: asRun, gates, state })];
    }
    const times = coming?.byStep.get(step.id);
    if (times === undefined) return [];
    return [stretchOf(index, step, { layer: "coming", times, gates, state })];
  });
}

// From its start to its end, to the run's end, or to now.
function timesAsRun(state: RunState, step: Step, nowMs: number): StepTimes | null {
  const inRun = state.steps[step.id];
  if (inRun === undefined) return null;
  if (inRun.state === "deferred" || inRun.state === "not-performed") return null;
  const startMs = inRun.startedAtMs ?? inRun.finishedAtMs;
  if (startMs === null) return null;
  const endMs = inRun.finishedAtMs ?? state.closedAtMs ?? Math.max(nowMs, startMs);
  return { startSeconds: secondsOf(state, startMs), endSeconds: secondsOf(state, endMs) };
}

type StretchParts = {
  readonly layer: StretchLayer;
  readonly times: StepTimes;
  readonly gates: readonly GateBar[];
  readonly state: RunState | null;
};

function stretchOf(index: ProcedureIndex, step: Step, parts: StretchParts): Stretch {
  return {
    step: step.id,
    lane: step.lane,
    layer: parts.layer,
    number: stepNumber(index, step.id),
    text: step.text,
    state: parts.state?.steps[step.id]?.state ?? null,
    fromSeconds: parts.times.startSeconds,
    toSeconds: parts.times.endSeconds,
    gates: parts.gates,
  };
}

// A plan's gates are all shut: nobody has opened them.
function gateBars(
  index: ProcedureIndex,
  step: Step,
  inRun: Readonly<Record<GateId, GateInRun>> | null,
): readonly GateBar[] {
  return (index.gatesByStep.get(step.id) ?? []).map((gate) => {
    const state = inRun?.[gate.id]?.state ?? "closed";
    const isOpen = state === "open" || state === "overridden";
    return { gate: gate.id, before: gate.before, isOpen };
  });
}

function rungsOf(index: ProcedureIndex, stretches: readonly Stretch[]): readonly Rung[] {
  const layers: readonly StretchLayer[] = ["planned", "as-run", "coming"];
  return index.procedure.meets.flatMap((meet) => {
    const steps = new Set((index.stepsByMeet.get(meet.id) ?? []).map((step) => step.id));
    const met = stretches.filter((stretch) => steps.has(stretch.step));
    return layers.flatMap((layer): Rung[] => {
      const ends = met
        .filter((stretch) => stretch.layer === layer)
        .toSorted((a, b) => laneOrder(index, a) - laneOrder(index, b))
        .map((stretch) => ({ lane: stretch.lane, seconds: stretch.fromSeconds }));
      if (new Set(ends.map((end) => end.lane)).size < 2) return [];
      return [{ meet: meet.id, name: meet.name, layer, ends }];
    });
  });
}

function holdSpans(index: ProcedureIndex, state: RunState, nowMs: number): readonly HoldSpan[] {
  return holdViews(index, state, nowMs).map((view) => ({
    hold: view.hold,
    lanes: view.lanes,
    fromSeconds: secondsOf(state, view.raisedAtMs),
    toSeconds: secondsOf(state, view.releasedAtMs ?? state.closedAtMs ?? nowMs),
    reason: view.reason,
    isSimulated: view.isSimulated,
  }));
}

/** The lanes of a span by name, in words: "EV1 and EV2". */
export function laneNames(index: ProcedureIndex, lanes: readonly PositionId[]): string {
  const names = lanes.map((lane) => positionName(index, lane));
  if (names.length < 2) return names.join("");
  return `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}
