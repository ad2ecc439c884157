// A run as its taps make it: devices that tap, and the state that the record folds to.

import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import type { Identity, PositionId } from "../../machines/procedure/ids.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { EntryBody, Role } from "../../machines/record/entry.ts";
import { foldRun } from "../../machines/record/fold-run.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { OrderedEntry } from "../../machines/record/order-entries.ts";
import type { RunState } from "../../machines/record/run-state.ts";

/** When the first tap of a tapped run falls, milliseconds since 1970; each further one a second later. */
export const tappedFromMs = 1_700_000_000_000;

/** A run that is tapped one entry after the other; every device has seen what was tapped before. */
export type TappedRun = {
  readonly index: ProcedureIndex;
  readonly tap: (device: string, body: EntryBody, position?: string | null) => void;
  readonly join: (device: string, role: Role, lane: string | null) => void;
  /** Lets time go by before the next tap. */
  readonly wait: (seconds: number) => void;
  readonly state: () => RunState;
  readonly nowMs: () => number;
};

/** A run of the procedure that the device "desk" has opened and, unless told, started. */
export function tappedRun(procedure: Procedure, started = true): TappedRun {
  const index = indexProcedure(procedure);
  const ordered: OrderedEntry[] = [];
  const seqs = new Map<string, number>();
  let atMs = tappedFromMs;
  const tap: TappedRun["tap"] = (device, body, position = null) => {
    const seq = (seqs.get(device) ?? 0) + 1;
    const seen = Object.fromEntries([...seqs].filter(([other]) => other !== device));
    seqs.set(device, seq);
    ordered.push({
      entry: {
        run: "desk.run" as RunId,
        device: device as DeviceId,
        seq,
        prev: null,
        wallMs: atMs,
        seen,
        position: position as PositionId | null,
        body,
      },
      atMs,
      errorMs: null,
    });
    atMs += 1000;
  };
  tap("desk", {
    kind: "run.opened",
    procedure: "0".repeat(64) as Identity,
    title: "A run",
    deviceName: "Desk",
    recovery: null,
  });
  if (started) tap("desk", { kind: "run.started" });
  return {
    index,
    tap,
    join: (device, role, lane) =>
      tap("desk", {
        kind: "device.joined",
        joined: device as DeviceId,
        role,
        lane: lane as PositionId | null,
        deviceName: `${device} tablet`,
      }),
    wait: (seconds) => {
      atMs += seconds * 1000;
    },
    state: () => foldRun(index, ordered),
    nowMs: () => atMs,
  };
}
