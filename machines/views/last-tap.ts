// The tap that "undo" takes back: this device's latest that is still in force.
//
// [last-tap 1] Only a tap that can be taken back is offered: steps, gates, branches, checks, notes.
//   A hold is released, a real stop is resumed, neither is undone.

import type { PositionId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { EntryKind, EntryName } from "../record/entry.ts";
import type { DeviceId } from "../record/ids.ts";
import type { RunState } from "../record/run-state.ts";
import { entryKindWords, stepName } from "./words.ts";

/** What would be taken back. */
export type LastTap = {
  readonly entry: EntryName;
  readonly position: PositionId | null;
  readonly atMs: number;
  /** "Step done · EV1 step 4". */
  readonly says: string;
};

const takenBack: ReadonlySet<EntryKind> = new Set([
  "step.started",
  "step.done",
  "step.partly-done",
  "step.deferred",
  "step.not-performed",
  "branch.chosen",
  "gate.acknowledged",
  "gate.readback-confirmed",
  "gate.go-given",
  "gate.count-reported",
  "gate.reading-reported",
  "gate.overridden",
  "check.recorded",
  "item.sighted",
  "note.added",
]);

/** The latest tap of the device, for whatever position, that can be taken back; null: none. */
export function lastTap(index: ProcedureIndex, state: RunState, device: DeviceId): LastTap | null {
  const line = state.log.findLast(
    (candidate) =>
      candidate.by.device === device &&
      candidate.outcome === "applied" &&
      takenBack.has(candidate.kind),
  );
  if (line === undefined) return null;
  const step = line.step === null ? "" : ` · ${stepName(index, line.step)}`;
  return {
    entry: line.by,
    position: line.position,
    atMs: line.atMs,
    says: `${entryKindWords[line.kind]}${step}`,
  };
}
