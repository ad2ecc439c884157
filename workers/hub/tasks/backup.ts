// Copies the hub's file while the hub goes on.
//
// [backup 1] The copy is the file as it was at one moment, between two transactions; the hub is not held up.
// [backup 2] The copy is read through before it gets its name: a file of that name is a whole backup.
// [backup 3] Nothing that is there is written over.
// [backup 4] Only the owner may read the copy: it holds what crew must not see coming.

import { randomBytes } from "node:crypto";
import { closeSync, existsSync, openSync, rmSync, statSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import Database from "better-sqlite3";
import { assert } from "../../../machines/base/assert.ts";
import { digestFile, digestNotePath } from "./file-digest.ts";
import { countRows, inspectHubFile } from "./inspect-hub-file.ts";
import type { HubFileContents } from "./inspect-hub-file.ts";
import { refuseIfWorldFails } from "./refuse-if-world-fails.ts";
import { renameSettled } from "./settle-file.ts";
import { TaskRefusedError } from "./task-refused-error.ts";

/** What was copied. */
export type BackupReport = HubFileContents & { readonly bytes: number; readonly digest: string };

/**
 * Backs up the hub of a data folder to a new file, with the note of its digest beside it.
 *
 * Errors: `TaskRefusedError`, `BackupDamagedError` if the hub's own file is damaged, `HubFileNewerError`.
 */
export function backUp(dataFolder: string, target: string): BackupReport {
  const source = join(dataFolder, "hub.sqlite");
  if (!existsSync(source)) {
    throw new TaskRefusedError(`There is no hub's file at ${source}.`, {
      mend: "Name the hub's data folder: --data PATH.",
    });
  }
  const mend = "Look whether there is room, and whether the folder may be written.";
  return refuseIfWorldFails(`The backup to ${target} failed`, mend, () => {
    reserve(target);
    const copy = `${target}.unfinished-${randomBytes(4).toString("hex")}`;
    try {
      closeSync(openSync(copy, "wx", 0o600));
      const counted = copyAtOneMoment(source, copy);
      const contents = inspectHubFile(copy);
      assertBetween(contents.rowsByTable, counted);
      const digest = digestFile(copy);
      const note = `${digest}  ${basename(target)}\n`;
      writeFileSync(digestNotePath(target), note, { mode: 0o600 });
      renameSettled(copy, target);
      return { ...contents, digest, bytes: statSync(target).size };
    } catch (cause) {
      for (const path of [copy, digestNotePath(target), target]) rmSync(path, { force: true });
      throw cause;
    }
  });
}

// The name is taken before the work, so that two backups cannot both believe that it is free.
function reserve(target: string): void {
  for (const path of [digestNotePath(target), target]) {
    if (!existsSync(path)) continue;
    throw new TaskRefusedError(`${path} is there already.`, { mend: "Choose another name." });
  }
  closeSync(openSync(target, "wx", 0o600));
}

type Counted = { readonly before: Rows; readonly after: Rows };
type Rows = Readonly<Record<string, number>>;

function copyAtOneMoment(source: string, copy: string): Counted {
  const database = new Database(source, { fileMustExist: true });
  try {
    const before = countRows(database);
    database.prepare("VACUUM INTO ?").run(copy);
    return { before, after: countRows(database) };
  } finally {
    database.close();
  }
}

// No row of the hub's file is ever deleted, so the copy lies between what was there before and after.
function assertBetween(rows: Rows, { before, after }: Counted): void {
  for (const [table, most] of Object.entries(after)) {
    const count = rows[table] ?? -1;
    assert(count >= (before[table] ?? 0), "The backup lacks rows that the hub had before it.");
    assert(count <= most, "The backup has rows that the hub does not have.");
  }
}
