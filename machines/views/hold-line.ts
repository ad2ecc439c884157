// A hold that stands, with what the looking device may do about it.

import type { PositionId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Role } from "../record/entry.ts";
import type { DeviceId } from "../record/ids.ts";
import type { RunState } from "../record/run-state.ts";
import { holdViews } from "./hold-view.ts";
import type { HoldView } from "./hold-view.ts";

/** A hold that has not been released. */
export type HoldLine = HoldView & {
  /** Lanes that it covers and that have not acknowledged it. */
  readonly waitsFor: readonly PositionId[];
  readonly mayRelease: boolean;
};

/** Who looks: by role and device it follows which holds they may release. */
export type HoldViewer = { readonly role: Role; readonly device: DeviceId };

/** Every hold that has not been released, the latest first. A director releases any, a reader its own. */
export function holdLines(
  index: ProcedureIndex,
  state: RunState,
  viewer: HoldViewer,
  nowMs: number,
): HoldLine[] {
  return holdViews(index, state, nowMs)
    .filter((view) => view.releasedAtMs === null)
    .map((view) => {
      const hold = state.holds[view.hold];
      const isOwn = hold?.raisedBy.device === viewer.device;
      return {
        ...view,
        waitsFor: view.lanes.filter((lane) => hold?.acknowledgedLanes.includes(lane) !== true),
        mayRelease: viewer.role === "director" || (viewer.role === "reader" && isOwn),
      };
    })
    .toReversed();
}
