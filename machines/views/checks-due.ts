// When each recurring check is due, for each position that it is made for.
//
// [checks-due 1] A check is first due one interval after the run's start, then one interval after it
//   was last recorded for that position.
// [checks-due 2] Before the start nothing is due; after the end nothing either.

import type { CheckId, PositionId } from "../procedure/ids.ts";
import type { RecurringCheck } from "../procedure/procedure.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { RunState } from "../record/run-state.ts";

/** A recurring check of one position. */
export type CheckDue = {
  readonly check: RecurringCheck;
  readonly position: PositionId;
  readonly lastAtMs: number | null;
  /** Seconds until it is due; below zero: overdue by so much. */
  readonly dueInSeconds: number;
};

/** Every recurring check of every position, the most urgent first. */
export function checksDue(index: ProcedureIndex, state: RunState, nowMs: number): CheckDue[] {
  const { startedAtMs } = state;
  if (startedAtMs === null || state.closedAtMs !== null) return [];
  return index.procedure.recurringChecks
    .flatMap((check) =>
      check.positions.map((position) => {
        const lastAtMs = lastRecordedAtMs(state, check.id, position);
        const dueAtMs = (lastAtMs ?? startedAtMs) + check.everySeconds * 1000;
        return { check, position, lastAtMs, dueInSeconds: (dueAtMs - nowMs) / 1000 };
      }),
    )
    .toSorted((a, b) => a.dueInSeconds - b.dueInSeconds);
}

function lastRecordedAtMs(state: RunState, check: CheckId, position: PositionId): number | null {
  const last = state.checks.findLast(
    (recorded) => recorded.check === check && recorded.position === position,
  );
  return last?.atMs ?? null;
}
