// What the reader's screen shows of a run: the lanes in step, what the reader owes them, what comes.
//
// [pair-view 1] Suited lanes are rails with a whole card; the others are one line each.
// [pair-view 2] What waits for this device stands first: readbacks to confirm, GOs to give.

import type { GateId, PositionId, StepId } from "../procedure/ids.ts";
import type { Position } from "../procedure/procedure.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { RunPhase, RunState } from "../record/run-state.ts";
import { checksDue } from "./checks-due.ts";
import type { CheckDue } from "./checks-due.ts";
import { holdLines } from "./hold-line.ts";
import type { HoldLine } from "./hold-line.ts";
import { laneView } from "./lane-view.ts";
import type { InjectLine, LaneView, LaneViewer, OtherLane } from "./lane-view.ts";
import { lastTap } from "./last-tap.ts";
import type { LastTap } from "./last-tap.ts";
import { logRows } from "./log-rows.ts";
import type { LogRow } from "./log-rows.ts";
import { meetsComing } from "./meets-coming.ts";
import type { MeetComing } from "./meets-coming.ts";
import { positionName } from "./words.ts";

/** The reader's screen. */
export type PairView = {
  readonly phase: RunPhase;
  readonly petSeconds: number | null;
  readonly rails: readonly LaneView[];
  readonly otherLanes: readonly OtherLane[];
  readonly owed: readonly Owed[];
  readonly meets: readonly MeetComing[];
  readonly checks: readonly CheckDue[];
  readonly holds: readonly HoldLine[];
  readonly injects: readonly InjectLine[];
  readonly log: readonly LogRow[];
  readonly lastTap: LastTap | null;
};

/** Something that a lane waits for from this device. */
export type Owed = {
  readonly what: "readback" | "go";
  readonly lane: PositionId;
  readonly laneName: string;
  readonly step: StepId;
  readonly gate: GateId;
  /** For which position this device gives it. */
  readonly as: PositionId;
  readonly asName: string;
  readonly text: string;
};

const logSpanMs = 10 * 60 * 1000;

/**
 * The content of the reader's screen.
 *
 * @param nowMs the hub's time, milliseconds since 1970
 * Errors: none.
 */
export function pairView(
  index: ProcedureIndex,
  state: RunState,
  viewer: LaneViewer,
  nowMs: number,
): PairView {
  const views = index.lanes.flatMap((lane) => {
    const view = laneView(index, state, lane, { viewer, nowMs });
    return view === undefined ? [] : [view];
  });
  const rails = views.filter((view) => isRail(index, view.position));
  return {
    phase: state.phase,
    petSeconds: state.startedAtMs === null ? null : (nowMs - state.startedAtMs) / 1000,
    rails,
    otherLanes: views
      .filter((view) => !rails.includes(view))
      .flatMap((view) => lineOfLane(views, view)),
    owed: views.flatMap((view) => owedTo(index, view)),
    meets: meetsComing(index, state).slice(0, 3),
    checks: checksDue(index, state, nowMs),
    holds: holdLines(index, state, viewer, nowMs),
    injects: injectsOf(views),
    log: logRows(index, state, nowMs - logSpanMs),
    lastTap: lastTap(index, state, viewer.device),
  };
}

// Where nobody is suited, every lane is a rail.
function isRail(index: ProcedureIndex, position: Position): boolean {
  const anySuited = index.procedure.positions.some((one) => one.sort === "suited");
  return !anySuited || position.sort === "suited";
}

// How a lane looks from any other: in one line.
function lineOfLane(views: readonly LaneView[], view: LaneView): readonly OtherLane[] {
  const from = views.find((other) => other !== view);
  return from?.others.filter((other) => other.lane === view.lane) ?? [];
}

function owedTo(index: ProcedureIndex, view: LaneView): Owed[] {
  const { now } = view;
  if (now === null) return [];
  return now.gates.flatMap((gate) => {
    if (gate.act.act !== "confirm-readback" && gate.act.act !== "give-go") return [];
    return [
      {
        what: gate.act.act === "give-go" ? ("go" as const) : ("readback" as const),
        lane: view.lane,
        laneName: view.position.name,
        step: now.step,
        gate: gate.gate,
        as: gate.act.as,
        asName: positionName(index, gate.act.as),
        text: gate.label,
      },
    ];
  });
}

function injectsOf(views: readonly LaneView[]): InjectLine[] {
  const found = new Map(views.flatMap((view) => view.injects).map((one) => [one.inject, one]));
  return [...found.values()];
}
