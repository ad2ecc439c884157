// The meets that are coming, and how far each lane is from them.

import type { MeetId, PositionId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { RunState } from "../record/run-state.ts";
import { courseOfLane } from "./lane-view.ts";
import { isOver } from "./step-card.ts";

/** A meet that some lane has yet to pass. */
export type MeetComing = {
  readonly meet: MeetId;
  readonly name: string;
  readonly lanes: readonly MeetLane[];
};

/** One lane on its way to a meet. */
export type MeetLane = {
  readonly lane: PositionId;
  /** Steps that are left before its step in the meet; 0: it is there. */
  readonly stepsAway: number;
  readonly passed: boolean;
};

/** Every meet that has not been passed by all of its lanes, the nearest first. */
export function meetsComing(index: ProcedureIndex, state: RunState): MeetComing[] {
  return index.procedure.meets
    .map((meet) => ({
      meet: meet.id,
      name: meet.name,
      lanes: (index.stepsByMeet.get(meet.id) ?? []).flatMap((step) => {
        const { steps, at } = courseOfLane(index, state, step.lane);
        const place = steps.indexOf(step);
        if (place === -1) return [];
        const away = Math.max(0, place - at);
        const passed = isOver(state.steps[step.id]?.state ?? "standing-by");
        return [{ lane: step.lane, stepsAway: away, passed }];
      }),
    }))
    .filter((meet) => meet.lanes.length > 0 && !meet.lanes.every((lane) => lane.passed))
    .toSorted((a, b) => nearest(a) - nearest(b));
}

function nearest(meet: MeetComing): number {
  return Math.min(...meet.lanes.map((lane) => lane.stepsAway));
}
