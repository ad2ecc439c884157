// What the lane screen shows of a run: one lane, its step of now large, what is before and after.
//
// Definition: the *step of now* is the lane's first step in play that is being worked; if none is,
//   the first that is not over.
// [lane-view 1] It shows the two steps before the step of now and the next three, in the lane's order.
// [lane-view 2] Steps of contingency tasks that no choice has brought into play are not shown.
// [lane-view 3] It shows every hold that covers the lane, and every live inject that is shown to it.

import type { InjectId, PositionId, StepId } from "../procedure/ids.ts";
import type { Marking, Position } from "../procedure/procedure.ts";
import type { Step } from "../procedure/step.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { DeviceId } from "../record/ids.ts";
import type { InjectInRun, RunPhase, RunState, StepState } from "../record/run-state.ts";
import { holdLines } from "./hold-line.ts";
import type { HoldLine } from "./hold-line.ts";
import { lastTap } from "./last-tap.ts";
import type { LastTap } from "./last-tap.ts";
import { mayActFor } from "./may-act.ts";
import type { Tapper } from "./may-act.ts";
import { isOver, stepCard } from "./step-card.ts";
import type { StepCard } from "./step-card.ts";
import { blockWords, stepNumber } from "./words.ts";

/** The lane screen's content. */
export type LaneView = {
  readonly lane: PositionId;
  readonly position: Position;
  readonly phase: RunPhase;
  /** Seconds since the run's start; null before it. */
  readonly petSeconds: number | null;
  readonly mayAct: boolean;
  readonly now: StepCard | null;
  /** Other steps of the lane that are being worked too. */
  readonly alsoWorking: readonly StepLine[];
  readonly before: readonly StepLine[];
  readonly next: readonly StepLine[];
  readonly others: readonly OtherLane[];
  readonly holds: readonly HoldLine[];
  readonly injects: readonly InjectLine[];
  readonly lastTap: LastTap | null;
  readonly progress: { readonly over: number; readonly all: number };
};

/** A step in one line. */
export type StepLine = {
  readonly step: StepId;
  readonly number: number;
  readonly text: string;
  readonly state: StepState;
  readonly siteName: string | null;
  /** It has a warning, a caution: shown ahead of time. */
  readonly hazardWords: readonly ("warning" | "caution")[];
  readonly meetName: string | null;
};

/** Another lane's step of now, in one line. */
export type OtherLane = {
  readonly lane: PositionId;
  readonly name: string;
  readonly marking: Marking;
  readonly now: StepLine | null;
  /** What it waits for, in words; null: nothing, or no step is left. */
  readonly waits: string | null;
};

/** A live simulated case. */
export type InjectLine = {
  readonly inject: InjectId;
  readonly name: string;
  readonly card: string;
  readonly liveAtMs: number | null;
  readonly responses: readonly string[];
};

/** Who looks at the lane. */
export type LaneViewer = Tapper & { readonly device: DeviceId };

/**
 * The content of a lane's screen.
 *
 * @param lane a position of the procedure
 * @param nowMs the hub's time, milliseconds since 1970
 * @returns undefined if the procedure has no such position
 * Errors: none.
 */
export function laneView(
  index: ProcedureIndex,
  state: RunState,
  lane: PositionId,
  viewing: { readonly viewer: LaneViewer; readonly nowMs: number },
): LaneView | undefined {
  const position = index.positionsById.get(lane);
  if (position === undefined) return undefined;
  const { viewer, nowMs } = viewing;
  const { steps, at } = courseOfLane(index, state, lane);
  const now = steps[at];
  const lines = (some: readonly Step[]) => some.map((step) => stepLine(index, state, step));
  return {
    lane,
    position,
    phase: state.phase,
    petSeconds: state.startedAtMs === null ? null : (nowMs - state.startedAtMs) / 1000,
    mayAct: mayActFor(viewer, lane),
    now: now === undefined ? null : stepCard(index, state, now, { tapper: viewer, nowMs }),
    alsoWorking: lines(
      steps.filter((step) => step !== now && state.steps[step.id]?.state === "working"),
    ),
    before: lines(steps.slice(Math.max(0, at - 2), at)),
    next: lines(steps.slice(at + 1, at + 4)),
    others: index.lanes
      .filter((other) => other !== lane)
      .flatMap((other) => otherLane(index, state, other)),
    holds: holdLines(index, state, viewer, nowMs).filter((hold) => hold.lanes.includes(lane)),
    injects: injectsOfLane(state, lane),
    lastTap: lastTap(index, state, viewer.device),
    progress: {
      over: steps.filter((step) => isOver(state.steps[step.id]?.state ?? "standing-by")).length,
      all: steps.length,
    },
  };
}

/** A lane's steps that are in play, in order. */
export type LaneCourse = {
  readonly steps: readonly Step[];
  /** Place of the step of now in the list; its length where every step is over. */
  readonly at: number;
};

// Every screen of several lanes asks for each lane's course many times over.
const coursesByState = new WeakMap<RunState, Map<PositionId, LaneCourse>>();

/**
 * The course of a lane in a run.
 *
 * @param index of the state's own procedure
 * Errors: none.
 */
export function courseOfLane(index: ProcedureIndex, state: RunState, lane: PositionId): LaneCourse {
  const courses = coursesByState.get(state) ?? new Map<PositionId, LaneCourse>();
  coursesByState.set(state, courses);
  const known = courses.get(lane);
  if (known !== undefined) return known;
  const steps = stepsInPlay(index, state, lane);
  const course = { steps, at: placeOfNow(state, steps) };
  courses.set(lane, course);
  return course;
}

function stepsInPlay(index: ProcedureIndex, state: RunState, lane: PositionId): readonly Step[] {
  return (index.stepsByLane.get(lane) ?? []).filter(
    (step) => state.steps[step.id]?.inPlay ?? !index.contingencySteps.has(step.id),
  );
}

function placeOfNow(state: RunState, steps: readonly Step[]): number {
  const stateOf = (step: Step) => state.steps[step.id]?.state ?? "standing-by";
  const working = steps.findIndex((step) => stateOf(step) === "working");
  if (working !== -1) return working;
  const open = steps.findIndex((step) => !isOver(stateOf(step)));
  return open === -1 ? steps.length : open;
}

/** A step in one line. */
function stepLine(index: ProcedureIndex, state: RunState, step: Step): StepLine {
  const words = (["warning", "caution"] as const).filter((word) =>
    step.hazards.some((hazard) => hazard.word === word),
  );
  return {
    step: step.id,
    number: stepNumber(index, step.id),
    text: step.text,
    state: state.steps[step.id]?.state ?? "standing-by",
    siteName: step.site === null ? null : (index.sitesById.get(step.site)?.name ?? step.site),
    hazardWords: words,
    meetName: step.meet === null ? null : (index.meetsById.get(step.meet)?.name ?? step.meet),
  };
}

function otherLane(index: ProcedureIndex, state: RunState, lane: PositionId): OtherLane[] {
  const position = index.positionsById.get(lane);
  const { steps, at } = courseOfLane(index, state, lane);
  if (position === undefined || steps.length === 0) return [];
  const now = steps[at];
  const block = now === undefined ? undefined : state.steps[now.id]?.blocks[0];
  return [
    {
      lane,
      name: position.name,
      marking: position.marking,
      now: now === undefined ? null : stepLine(index, state, now),
      waits: now === undefined || block === undefined ? null : blockWords(index, now.id, block),
    },
  ];
}

function injectsOfLane(state: RunState, lane: PositionId): InjectLine[] {
  return Object.entries(state.injects)
    .filter(([, inject]) => isLive(inject) && inject.shownTo.includes(lane))
    .map(([id, inject]) => ({
      inject: id as InjectId,
      name: inject.name,
      card: inject.card,
      liveAtMs: inject.liveAtMs,
      responses: inject.responses.map((response) => response.text),
    }));
}

function isLive(inject: InjectInRun): boolean {
  return inject.state === "live" || inject.state === "responded";
}
