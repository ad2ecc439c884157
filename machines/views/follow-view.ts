// What those who follow along see: where the lanes are, what is due from them, and when.
//
// [follow 1] When something is due is a range: the least and the most that the remaining durations
//   allow if every hold ends now.
// [follow 2] Due from a position are its own steps that are left and every GO that it owes and has
//   not given, the soonest first.

import type { GateId, PositionId, StepId } from "../procedure/ids.ts";
import type { Step } from "../procedure/step.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { DeviceId } from "../record/ids.ts";
import type { RunPhase, RunState } from "../record/run-state.ts";
import { comingTimes } from "../time/coming-times.ts";
import type { ComingTimes } from "../time/coming-times.ts";
import type { Timetable } from "../time/earliest-times.ts";
import { deskDevices, endEstimate, petSeconds } from "./desk-view.ts";
import type { DeskDevice, EndEstimate } from "./desk-view.ts";
import { holdViews } from "./hold-view.ts";
import type { HoldView } from "./hold-view.ts";
import { inventoryView } from "./inventory-view.ts";
import type { InventoryLine } from "./inventory-view.ts";
import { glanceStep, laneGlances, stepsLeft } from "./lane-glance.ts";
import type { GlanceStep, LaneGlance, SecondsRange } from "./lane-glance.ts";
import { stepName } from "./words.ts";

/** What the follow screen shows. */
export type FollowView = {
  readonly phase: RunPhase;
  readonly petSeconds: number | null;
  readonly lanes: readonly LaneGlance[];
  readonly due: readonly DueLine[];
  readonly holds: readonly HoldView[];
  readonly items: readonly InventoryLine[];
  readonly devices: readonly DeskDevice[];
  readonly end: EndEstimate;
};

/** One thing that is due from the one who looks. */
export type DueLine =
  | {
      readonly due: "step";
      readonly key: string;
      readonly step: GlanceStep;
      readonly when: SecondsRange | null;
    }
  | {
      readonly due: "go";
      readonly key: string;
      /** The step that needs it: "EV1 step 4". */
      readonly name: string;
      readonly step: StepId;
      readonly gate: GateId;
      readonly reason: string;
      readonly meanwhile: string;
      readonly when: SecondsRange | null;
    };

/** What the follow screen is seen from. */
export type FollowGround = {
  readonly index: ProcedureIndex;
  readonly state: RunState;
  readonly planned: Timetable;
  readonly nowMs: number;
  readonly thisDevice: DeviceId;
  readonly lastHeardMs: Readonly<Record<DeviceId, number>>;
  /** The lane of the one who looks; null: none. */
  readonly lane: PositionId | null;
};

/** The run as those who follow along see it. */
export function followView(ground: FollowGround): FollowView {
  const { index, state, planned, nowMs, lane } = ground;
  const coming = comingTimes(index, state, nowMs);
  return {
    phase: state.phase,
    petSeconds: petSeconds(state, nowMs),
    lanes: laneGlances({ index, state, planned, coming, nowMs }),
    due: lane === null ? [] : dueFrom(ground, coming, lane),
    holds: holdViews(index, state, nowMs).filter((hold) => hold.releasedAtMs === null),
    items: inventoryView(index, state),
    devices: deskDevices(ground),
    end: endEstimate(index, planned, coming),
  };
}

function dueFrom(ground: FollowGround, coming: ComingTimes, lane: PositionId): readonly DueLine[] {
  const { index, state } = ground;
  const steps = stepsLeft(index, state, lane).map((step): DueLine => {
    const glance = glanceStep({ ...ground, coming }, step);
    return { due: "step", key: step.id, step: glance, when: glance.starts };
  });
  const goes = index.lanes
    .flatMap((other) => stepsLeft(index, state, other))
    .flatMap((step) => goesOwed({ ...ground, coming }, step, lane));
  return [...steps, ...goes].toSorted((a, b) => soonest(a) - soonest(b));
}

function soonest(line: DueLine): number {
  return line.when?.fromSeconds ?? Number.MAX_SAFE_INTEGER;
}

function goesOwed(
  ground: FollowGround & { readonly coming: ComingTimes },
  step: Step,
  from: PositionId,
): readonly DueLine[] {
  const { index, state } = ground;
  return (index.gatesByStep.get(step.id) ?? []).flatMap((gate): DueLine[] => {
    if (gate.sort !== "go" || gate.from !== from) return [];
    const gateState = state.steps[step.id]?.gates[gate.id]?.state ?? "closed";
    if (gateState === "open" || gateState === "overridden") return [];
    const glance = glanceStep(ground, step);
    return [
      {
        due: "go",
        key: `${step.id} ${gate.id}`,
        name: stepName(index, step.id),
        step: step.id,
        gate: gate.id,
        reason: gate.reason,
        meanwhile: gate.meanwhile,
        when: gate.before === "start" ? glance.starts : glance.ends,
      },
    ];
  });
}
