// Puts a backup in the place of the hub's file.
//
// [restore 1] While a hub runs on the data folder, nothing is restored.
// [restore 2] A damaged backup, one that is not what its note says, and one of a newer version are refused,
//   and the hub's file stays as it is.
// [restore 3] The file that was there is kept aside under another name, whole.
// [restore 4] The restored file has a new epoch, so that every device pulls from the beginning and pushes
//   what the restored hub lacks.
// [restore 5] Codes that had not been used when the backup was made let nobody in, for they may have been
//   used since. (The code for a lost director's device stays: it lets in one and the same device.)

import { randomUUID } from "node:crypto";
import { chmodSync, existsSync, renameSync, rmSync } from "node:fs";
import { join, resolve } from "node:path";
import Database from "better-sqlite3";
import { assert } from "../../../machines/base/assert.ts";
import { holdDataFolder } from "../hold-data-folder.ts";
import { BackupDamagedError } from "./backup-damaged-error.ts";
import { digestFile, readDigestNote } from "./file-digest.ts";
import { inspectHubFile } from "./inspect-hub-file.ts";
import type { HubFileContents } from "./inspect-hub-file.ts";
import { refuseIfWorldFails } from "./refuse-if-world-fails.ts";
import { renameSettled } from "./settle-file.ts";
import { TaskRefusedError } from "./task-refused-error.ts";

/** What was restored. */
export type RestoreReport = HubFileContents & {
  /** Where the file is that was there before; null: there was none. */
  readonly keptAside: string | null;
  /** Whether the backup had a note of its digest, against which it was checked. */
  readonly isDigestChecked: boolean;
};

/**
 * Restores a backup into a data folder.
 *
 * @param nowMs milliseconds since 1970, for the name of what is kept aside
 * Errors: `DataFolderTakenError`, `BackupDamagedError`, `HubFileNewerError`, `HubFileUnreadableError`,
 * `TaskRefusedError`.
 */
export function restore(dataFolder: string, backup: string, nowMs: number): RestoreReport {
  const target = join(dataFolder, "hub.sqlite");
  if (!existsSync(backup) || resolve(backup) === resolve(target)) {
    throw new TaskRefusedError(`${backup} is no backup.`, { mend: "Name a file that is one." });
  }
  const letGo = holdDataFolder(dataFolder);
  try {
    const mend = "Look whether there is room, and whether the data folder may be written.";
    return refuseIfWorldFails("The restore failed", mend, () => {
      const isDigestChecked = checkDigest(backup);
      const before = inspectHubFile(backup);
      const fresh = `${target}.restoring`;
      makeFresh(backup, fresh);
      const contents = inspectHubFile(fresh);
      assert(contents.epoch !== before.epoch, "The restored file has the backup's epoch.");
      assert(
        JSON.stringify(contents.rowsByTable) === JSON.stringify(before.rowsByTable),
        "The restored file has not as many rows as the backup.",
      );
      const keptAside = keepAside(target, nowMs);
      renameSettled(fresh, target);
      return { ...contents, keptAside, isDigestChecked };
    });
  } finally {
    letGo();
  }
}

function checkDigest(backup: string): boolean {
  const noted = readDigestNote(backup);
  if (noted === null) return false;
  const found = digestFile(backup);
  if (noted === found) return true;
  throw new BackupDamagedError(backup, `its SHA-256 is ${found}, its note says ${noted}`);
}

function makeFresh(backup: string, fresh: string): void {
  for (const path of [fresh, `${fresh}-journal`]) rmSync(path, { force: true });
  const source = new Database(backup, { readonly: true, fileMustExist: true });
  try {
    source.prepare("VACUUM INTO ?").run(fresh);
  } finally {
    source.close();
  }
  chmodSync(fresh, 0o600);
  const database = new Database(fresh, { fileMustExist: true });
  try {
    database.transaction(() => {
      database.prepare("UPDATE hub SET epoch = ?").run(randomUUID());
      database.exec(voidCodesSql);
    })();
  } finally {
    database.close();
  }
}

const voidCodesSql = `UPDATE invitations SET expires_at_ms = 0
  WHERE used_by IS NULL AND expires_at_ms IS NOT NULL`;

// The journal goes with its file, under the name by which the driver finds it, and goes first: beside
// another file it would be taken for that one's.
function keepAside(target: string, nowMs: number): string | null {
  const stamp = new Date(nowMs).toISOString().replaceAll(":", "-");
  const aside = `${target}.before-restore-${stamp}`;
  const parts = ["-wal", "-shm", "-journal", ""].filter((part) => existsSync(target + part));
  for (const part of parts) renameSync(target + part, aside + part);
  return parts.includes("") ? aside : null;
}
