// Opening a run on this device. It needs no hub; the hub hears of it when it is next in reach.
//
// [open-run 1] The run and its first entry are stored together or not at all.

import type { Identity } from "../../machines/procedure/ids.ts";
import { recoveryDoorDigest } from "../keys/recovery-door.ts";
import type { NewRecovery } from "../keys/recovery-key.ts";
import { createRunId } from "../keys/random-id.ts";
import { createToken } from "../keys/random-token.ts";
import { appendWithin } from "./append-entry.ts";
import type { Database, Device, RunAtHub } from "./database.ts";
import { emptyLink } from "./database.ts";
import { writeDurably } from "./write-durably.ts";

/** What is opened, by whom and when. */
export type Opening = {
  readonly procedure: Identity;
  readonly title: string;
  readonly device: Device;
  /** A code for a lost director's device; null: none is made. */
  readonly recovery: NewRecovery | null;
  /** This device's clock, milliseconds since 1970. */
  readonly wallMs: number;
};

/**
 * Opens a run, with this device as its first director, and writes `run.opened`: both or neither.
 *
 * Errors: those of `writeDurably`.
 */
export async function openRun(database: Database, opening: Opening): Promise<RunAtHub> {
  const { procedure, title, device, recovery, wallMs } = opening;
  const run: RunAtHub = {
    run: createRunId(device.device),
    title,
    procedure,
    role: "director",
    lane: null,
    opener: true,
    recoveryDoor:
      recovery === null
        ? null
        : { device: recovery.recovery.device, codeDigest: recoveryDoorDigest(recovery.code) },
    token: createToken(),
    storedAtMs: wallMs,
  };
  const { runs, links, entries, heads } = database;
  await writeDurably(database, [runs, links, entries, heads], async () => {
    await runs.add(run);
    await links.put(emptyLink(run.run));
    await appendWithin(database, {
      run: run.run,
      device: device.device,
      position: null,
      body: {
        kind: "run.opened",
        procedure,
        title,
        deviceName: device.name,
        recovery: recovery?.recovery ?? null,
      },
      wallMs,
    });
  });
  return run;
}
