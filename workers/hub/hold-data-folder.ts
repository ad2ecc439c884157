// One process at a time works on a hub's data folder.
//
// [data-folder 1] While a hub holds its folder, neither a second hub nor a restore can begin on it.
// [data-folder 2] The hold ends with the process, however that ends: it is a lock of the system on an
//   empty SQLite file beside the hub's own, not a note of who holds it.

import { mkdirSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { DataFolderTakenError } from "./data-folder-taken-error.ts";
import { HubFileUnreadableError } from "./storage/hub-file-unreadable-error.ts";

/** How long a hub that is just ending may take to let go. */
const waitMs = 1_000;

/**
 * Makes the folder if it is missing, and holds it until the result is called.
 *
 * Errors: `DataFolderTakenError`, `HubFileUnreadableError`.
 */
export function holdDataFolder(folder: string): () => void {
  let lock: Database.Database | null = null;
  try {
    mkdirSync(folder, { recursive: true });
    lock = new Database(join(folder, "hub.lock"), { timeout: waitMs });
    lock.exec("BEGIN EXCLUSIVE");
  } catch (cause) {
    lock?.close();
    const isBusy = cause instanceof Database.SqliteError && cause.code.startsWith("SQLITE_BUSY");
    throw isBusy
      ? new DataFolderTakenError(folder, cause)
      : new HubFileUnreadableError(folder, cause);
  }
  const held = lock;
  return () => held.close();
}
