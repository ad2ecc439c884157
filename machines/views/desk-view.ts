// The director's desk as plain data: the run, its lanes, devices, holds and time.
//
// [desk 1] The acts offered are those that the run's phase takes, and no others.
// [desk 2] A position has nobody if no device that is in the run has its lane.
// [desk 3] The estimate of the end is a range, and stands beside the planned end.

import type { PositionId } from "../procedure/ids.ts";
import type { Position } from "../procedure/procedure.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Role } from "../record/entry.ts";
import type { DeviceId } from "../record/ids.ts";
import type { DeviceInRun, HoldRequest, RunPhase, RunState } from "../record/run-state.ts";
import { comingTimes } from "../time/coming-times.ts";
import type { ComingTimes } from "../time/coming-times.ts";
import type { Timetable } from "../time/earliest-times.ts";
import { authorWords } from "./entry-words.ts";
import { holdViews } from "./hold-view.ts";
import type { HoldView } from "./hold-view.ts";
import { laneGlances } from "./lane-glance.ts";
import type { LaneGlance, SecondsRange } from "./lane-glance.ts";
import { positionName, roleWords } from "./words.ts";

/** What the desk shows. */
export type DeskView = {
  readonly phase: RunPhase;
  /** Seconds from the run's start to now or to its end; null before it. */
  readonly petSeconds: number | null;
  readonly acts: readonly RunAct[];
  readonly lanes: readonly LaneGlance[];
  readonly devices: readonly DeskDevice[];
  /** Positions with a lane of steps for which no device is in the run. */
  readonly emptyPositions: readonly Position[];
  /** Those that stand, the oldest first. */
  readonly holds: readonly HoldView[];
  readonly requests: readonly RequestView[];
  readonly end: EndEstimate;
};

/** What a director may do to the run as a whole. */
export type RunAct = "start" | "start-closing" | "close" | "terminate" | "abort" | "resume";

/** A device of the run and when it last spoke. */
export type DeskDevice = {
  readonly device: DeviceId;
  readonly name: string;
  /** "Crew, EV1". */
  readonly role: string;
  readonly isThis: boolean;
  readonly isStruckOff: boolean;
  /** When it last spoke, on the hub's clock; null: never heard. */
  readonly lastWordMs: number | null;
};

/** A hold that somebody asks for and that no hold has answered yet. */
export type RequestView = {
  readonly from: string;
  readonly atMs: number;
  readonly reason: string;
  /** The lane that asks, which a hold in answer covers; null: none. */
  readonly lane: PositionId | null;
};

/** Planned and expected end of the run, seconds from its start. */
export type EndEstimate = {
  readonly plannedSeconds: number;
  readonly expected: SecondsRange;
  readonly likelySeconds: number;
  /** Likely less planned: more than 0 is behind the plan. */
  readonly behindSeconds: number;
  readonly maxSeconds: number;
};

/** What the desk is seen from. */
export type DeskGround = {
  readonly index: ProcedureIndex;
  readonly state: RunState;
  readonly planned: Timetable;
  readonly nowMs: number;
  readonly thisDevice: DeviceId;
  readonly lastHeardMs: Readonly<Record<DeviceId, number>>;
};

/** The desk of a run as it stands. */
export function deskView(ground: DeskGround): DeskView {
  const { index, state, planned, nowMs } = ground;
  const coming = comingTimes(index, state, nowMs);
  const devices = Object.entries(state.devices) as [DeviceId, DeviceInRun][];
  const taken = new Set(
    devices.flatMap(([, device]) =>
      device.struckOffAtMs === null && device.lane !== null ? [device.lane] : [],
    ),
  );
  return {
    phase: state.phase,
    petSeconds: petSeconds(state, nowMs),
    acts: actsByPhase[state.phase],
    lanes: laneGlances({ index, state, planned, coming, nowMs }),
    devices: deskDevices(ground),
    emptyPositions: index.procedure.positions.filter((position) => !taken.has(position.id)),
    holds: holdViews(index, state, nowMs).filter((hold) => hold.releasedAtMs === null),
    requests: openRequests(index, state),
    end: endEstimate(index, planned, coming),
  };
}

/** Seconds from the run's start to now, or to its end once it is closed; null before the start. */
export function petSeconds(state: RunState, nowMs: number): number | null {
  if (state.startedAtMs === null) return null;
  return ((state.closedAtMs ?? nowMs) - state.startedAtMs) / 1000;
}

/** Every device of the run, with the age of its word; those struck off last. */
export function deskDevices({
  index,
  state,
  thisDevice,
  lastHeardMs,
}: DeskGround): readonly DeskDevice[] {
  const lastInRecord = new Map<DeviceId, number>();
  for (const line of state.log) lastInRecord.set(line.by.device, line.atMs);
  const devices = Object.entries(state.devices) as [DeviceId, DeviceInRun][];
  return devices
    .map(([device, inRun]) => ({
      device,
      name: inRun.name,
      role: roleAndLane(index, inRun.role, inRun.lane),
      isThis: device === thisDevice,
      isStruckOff: inRun.struckOffAtMs !== null,
      lastWordMs: latestOf(lastHeardMs[device], lastInRecord.get(device)),
    }))
    .toSorted(
      (a, b) => Number(a.isStruckOff) - Number(b.isStruckOff) || (a.name < b.name ? -1 : 1),
    );
}

/** A role and its lane in words: "Crew, EV1". */
export function roleAndLane(index: ProcedureIndex, role: Role, lane: PositionId | null): string {
  return lane === null ? roleWords[role] : `${roleWords[role]}, ${positionName(index, lane)}`;
}

/** How the planned and the expected end of a run stand to each other. */
export function endEstimate(
  index: ProcedureIndex,
  planned: Timetable,
  coming: ComingTimes,
): EndEstimate {
  return {
    plannedSeconds: planned.endSeconds,
    expected: { fromSeconds: coming.early.endSeconds, toSeconds: coming.late.endSeconds },
    likelySeconds: coming.likely.endSeconds,
    behindSeconds: coming.likely.endSeconds - planned.endSeconds,
    maxSeconds: index.procedure.limits.runSecondsMax,
  };
}

const actsByPhase: Readonly<Record<RunPhase, readonly RunAct[]>> = {
  unopened: [],
  briefing: ["start", "start-closing"],
  "under-way": ["start-closing", "terminate", "abort"],
  holding: ["start-closing", "terminate", "abort"],
  terminating: ["start-closing", "abort"],
  aborting: ["start-closing"],
  closing: ["close"],
  closed: [],
  "real-stop": ["resume"],
};

function latestOf(a: number | undefined, b: number | undefined): number | null {
  if (a === undefined) return b ?? null;
  return b === undefined ? a : Math.max(a, b);
}

// A request is answered by any hold that was raised after it.
function openRequests(index: ProcedureIndex, state: RunState): readonly RequestView[] {
  const lastRaisedMs = Math.max(0, ...Object.values(state.holds).map((hold) => hold.raisedAtMs));
  return state.holdRequests
    .filter((request) => request.atMs > lastRaisedMs)
    .map((request) => requestView(index, state, request));
}

function requestView(index: ProcedureIndex, state: RunState, request: HoldRequest): RequestView {
  return {
    from: authorWords(index, state, request),
    atMs: request.atMs,
    reason: request.reason,
    lane: request.position,
  };
}
