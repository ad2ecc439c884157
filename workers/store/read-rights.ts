// Which rights this device has been given in a run, as far as its own record tells.
//
// [read-rights 1] They are read from the record; what the hub let in gives none.

import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { Database, StoredRun } from "./database.ts";
import { entriesOfKind } from "./read-run.ts";

/** Whether this device's rights stand in the record that it holds; before, what it enters is set aside. Errors: Dexie's. */
export async function isAdmitted(
  database: Database,
  stored: StoredRun,
  device: DeviceId,
): Promise<boolean> {
  if (stored.opener) return true;
  const joined = await entriesOfKind(database, stored.run, "device.joined");
  return joined.some((entry) => entry.body.joined === device);
}

/** Whether this device is a director's, by the record. Errors: Dexie's. */
export async function isInCharge(
  database: Database,
  stored: StoredRun,
  device: DeviceId,
): Promise<boolean> {
  return stored.role === "director" && isAdmitted(database, stored, device);
}

/** Whether the run is closed, by the record that is held here. Errors: Dexie's. */
export async function isClosed(database: Database, run: RunId): Promise<boolean> {
  return (await entriesOfKind(database, run, "run.closed")).length > 0;
}
