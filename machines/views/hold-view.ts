// Holds as screens show them: whom each covers, who has acknowledged it, and how long it has lasted.

import type { PositionId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { HoldScope } from "../record/entry.ts";
import type { HoldId } from "../record/ids.ts";
import type { HoldInRun, RunState } from "../record/run-state.ts";
import { authorWords } from "./entry-words.ts";
import { positionName, scopeWords } from "./words.ts";

/** One hold. Times are milliseconds since 1970, the hub's. */
export type HoldView = {
  readonly hold: HoldId;
  /** Whom it covers, in words: "everyone". */
  readonly covers: string;
  readonly lanes: readonly PositionId[];
  readonly reason: string;
  /** True: an inject raised it. */
  readonly isSimulated: boolean;
  /** Who raised it: the position it was raised for, and the device. */
  readonly raisedBy: string;
  readonly raisedAtMs: number;
  readonly acknowledged: readonly string[];
  /** Names of the covered lanes that have not acknowledged it. */
  readonly missing: readonly string[];
  readonly releasedAtMs: number | null;
  readonly lastedSeconds: number;
};

/** All holds of a run, in the order in which they were raised; those that stand count up to now,
 * or to the end of the run. */
export function holdViews(
  index: ProcedureIndex,
  state: RunState,
  nowMs: number,
): readonly HoldView[] {
  const holds = Object.entries(state.holds) as [HoldId, HoldInRun][];
  return holds
    .toSorted(([a, first], [b, second]) => first.raisedAtMs - second.raisedAtMs || (a < b ? -1 : 1))
    .map(([hold, inRun]) => holdView({ index, state, nowMs }, hold, inRun));
}

/** The lanes that a hold of this scope covers, in the procedure's order. */
export function lanesOfScope(index: ProcedureIndex, scope: HoldScope): readonly PositionId[] {
  if (scope.covers === "everyone") return index.lanes;
  if (scope.covers === "lane") return [scope.lane];
  const steps = index.stepsByTask.get(scope.task) ?? [];
  return index.lanes.filter((lane) => steps.some((step) => step.lane === lane));
}

type Sight = {
  readonly index: ProcedureIndex;
  readonly state: RunState;
  readonly nowMs: number;
};

function holdView({ index, state, nowMs }: Sight, hold: HoldId, inRun: HoldInRun): HoldView {
  const lanes = lanesOfScope(index, inRun.scope);
  const names = (some: readonly PositionId[]) => some.map((lane) => positionName(index, lane));
  const endMs = inRun.releasedAtMs ?? state.closedAtMs ?? nowMs;
  return {
    hold,
    covers: scopeWords(index, inRun.scope),
    lanes,
    reason: inRun.reason,
    isSimulated: inRun.inject !== null,
    raisedBy: authorWords(index, state, { by: inRun.raisedBy, position: inRun.raisedFor }),
    raisedAtMs: inRun.raisedAtMs,
    acknowledged: names(inRun.acknowledgedLanes),
    missing: names(lanes.filter((lane) => !inRun.acknowledgedLanes.includes(lane))),
    releasedAtMs: inRun.releasedAtMs,
    lastedSeconds: Math.max(0, endMs - inRun.raisedAtMs) / 1000,
  };
}
