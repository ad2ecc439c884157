// The log as rows of words.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { EntryKind } from "../record/entry.ts";
import type { LogLine, RunState } from "../record/run-state.ts";
import { entryKindWords, positionName, stepName } from "./words.ts";

/** One row. */
export type LogRow = {
  readonly key: string;
  readonly atMs: number;
  /** For whom. */
  readonly position: string;
  /** The device that it came from. */
  readonly device: string;
  readonly says: string;
  readonly outcome: LogLine["outcome"];
};

const unsaid: ReadonlySet<EntryKind> = new Set(["clock.sampled", "clock.jumped", "entry.withheld"]);

/** What people entered since a moment, the latest first; what clocks say of themselves is left out. */
export function logRows(index: ProcedureIndex, state: RunState, sinceMs: number): LogRow[] {
  return state.log
    .filter((line) => line.atMs >= sinceMs && !unsaid.has(line.kind))
    .toReversed()
    .map((line) => ({
      key: `${line.by.device}:${line.by.seq}`,
      atMs: line.atMs,
      position: positionName(index, line.position),
      device: state.devices[line.by.device]?.name ?? "unknown device",
      says:
        line.step === null
          ? entryKindWords[line.kind]
          : `${entryKindWords[line.kind]} · ${stepName(index, line.step)}`,
      outcome: line.outcome,
    }));
}
