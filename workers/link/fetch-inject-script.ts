// Getting a run's inject script, on a director's device.

import type { RunId } from "../../machines/record/ids.ts";
import { isInCharge } from "../store/read-rights.ts";
import { writeInjectScript } from "../store/write-procedure.ts";
import { HubGarbledError } from "./hub-garbled-error.ts";
import { HubRefusedError } from "./hub-refused-error.ts";
import { HubUnreachableError } from "./hub-unreachable-error.ts";
import { askInjectScript } from "./hub-requests.ts";
import type { RunAtWork, SyncWorld } from "./sync-world.ts";

/**
 * Fetches and stores the script, if this device is a director's and has none yet.
 *
 * @param asked runs for which the hub has answered that it has none; one is added here
 * Errors: the store's; a hub that is out of reach, refuses or answers what cannot be read is asked
 *   next time.
 */
export async function fetchInjectScript(
  world: SyncWorld,
  at: RunAtWork,
  askedMutable: Set<RunId>,
): Promise<void> {
  const { run, token } = at.stored;
  if (askedMutable.has(run)) return;
  if (!(await isInCharge(world.database, at.stored, at.device.device))) return;
  if ((await world.database.injectScripts.get(run)) !== undefined) return;
  try {
    const script = await askInjectScript(world.door, { run, token });
    askedMutable.add(run);
    if (script !== null) await writeInjectScript(world.database, run, script);
  } catch (cause) {
    if (cause instanceof HubUnreachableError) return;
    if (cause instanceof HubRefusedError) return;
    // The round is done and its entries are stored; this must not make it count as broken.
    if (cause instanceof HubGarbledError) return;
    throw cause;
  }
}
