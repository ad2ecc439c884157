// Taking a lost director's place with the recovery code of a run.
//
// [recover-run-here 1] A run that is on this device already needs no hub: the code alone makes this device
//   a director's. Else the hub lets it in by a code that is made of the recovery code, and gives the run.
// [recover-run-here 2] Trying it again with the same code on the same device harms nothing.

import type { RunId } from "../../machines/record/ids.ts";
import { recoveryDoorCode } from "../../workers/keys/recovery-door.ts";
import { readRuns } from "../../workers/store/read-run.ts";
import { recoverRun } from "../../workers/store/recover-run.ts";
import { RecoveryFailedError } from "../../workers/store/recovery-failed-error.ts";
import { storeJoinedRun } from "../../workers/store/join-run.ts";
import { askByCode, keepJoinedRun } from "./join-run-by-code.ts";
import type { LiveStore } from "./live-store.ts";
import { closeLiveRun } from "./open-live-run.ts";
import { syncHere, wakeSync } from "./wake-sync.ts";

/**
 * Makes this device a director's of the run whose recovery code this is.
 *
 * Errors: `RecoveryFailedError`, those of `askByCode`, and the store's.
 */
export async function recoverRunByCode(store: LiveStore, typed: string): Promise<RunId> {
  const here = await recoverHere(store, typed);
  if (here !== null) return here;
  const answered = await askByCode(store, recoveryDoorCode(typed), null);
  const run = await keepJoinedRun(store, answered);
  await syncHere(store, run);
  const came = await recoverRun(store.database, run, typed, store.readWallMs());
  if (came !== "recovered") throw new RecoveryFailedError(came);
  wakeSync(store, run);
  return run;
}

// Null: the code opens no run that is on this device.
async function recoverHere(store: LiveStore, typed: string): Promise<RunId | null> {
  const { database } = store;
  for (const stored of await readRuns(database)) {
    // One that came by hand has nothing to show at the hub's door.
    if (stored.token === null) continue;
    const wallMs = store.readWallMs();
    if ((await recoverRun(database, stored.run, typed, wallMs)) !== "recovered") continue;
    const asDirector = { ...stored, role: "director", lane: null } as const;
    await storeJoinedRun(database, asDirector, stored.token, wallMs);
    closeLiveRun(stored.run);
    wakeSync(store, stored.run);
    return stored.run;
  }
  return null;
}
