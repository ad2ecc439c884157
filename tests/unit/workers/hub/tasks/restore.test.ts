// Restoring a backup.

import { copyFileSync, existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { expect, test } from "vitest";
import { DataFolderTakenError } from "../../../../../workers/hub/data-folder-taken-error.ts";
import { holdDataFolder } from "../../../../../workers/hub/hold-data-folder.ts";
import { HubFileNewerError } from "../../../../../workers/hub/storage/hub-file-newer-error.ts";
import { openDatabase } from "../../../../../workers/hub/storage/open-database.ts";
import { backUp } from "../../../../../workers/hub/tasks/backup.ts";
import { BackupDamagedError } from "../../../../../workers/hub/tasks/backup-damaged-error.ts";
import { inspectHubFile } from "../../../../../workers/hub/tasks/inspect-hub-file.ts";
import { restore } from "../../../../../workers/hub/tasks/restore.ts";
import { TaskRefusedError } from "../../../../../workers/hub/tasks/task-refused-error.ts";
import { aDataFolder, addProcedures, aHubFile } from "./a-hub-file.ts";

const nowMs = Date.UTC(2026, 2, 1, 8, 30);

/** A hub's file with 5 procedures, of which a backup has 3. */
function backedUp() {
  const folder = aDataFolder();
  const database = aHubFile(folder, 3);
  const backup = join(aDataFolder(), "monday.backup");
  const { epoch } = backUp(folder, backup);
  addProcedures(database, 2);
  return { folder, database, backup, epoch, path: join(folder, "hub.sqlite") };
}

function procedures(path: string): number {
  const database = openDatabase(path);
  try {
    return Number(database.prepare("SELECT count(*) FROM procedures").pluck().get());
  } finally {
    database.close();
  }
}

test("[restore 3] [restore 4] the backup takes the file's place under a new epoch; the file is kept", () => {
  const { folder, database, backup, epoch, path } = backedUp();
  database.close();
  const report = restore(folder, backup, nowMs);
  expect(report.isDigestChecked).toBe(true);
  expect(report.rowsByTable["procedures"]).toBe(3);
  expect(procedures(path)).toBe(3);
  expect(report.epoch).not.toBe(epoch);
  expect(inspectHubFile(path).epoch).toBe(report.epoch);
  expect(report.keptAside).toBe(`${path}.before-restore-2026-03-01T08-30-00.000Z`);
  expect(procedures(report.keptAside ?? "")).toBe(5);
  const again = restore(folder, backup, nowMs + 1);
  expect(new Set([epoch, report.epoch, again.epoch]).size).toBe(3);
});

test("[restore 3] what only the journal of a killed hub had is kept too", () => {
  const { folder, database, backup, path } = backedUp();
  // As a killed hub leaves it: the file and its journal, with nobody who has closed them.
  const killed = aDataFolder();
  for (const part of ["", "-wal"]) copyFileSync(path + part, join(killed, `hub.sqlite${part}`));
  database.close();
  const { keptAside } = restore(killed, backup, nowMs);
  expect(procedures(join(killed, "hub.sqlite"))).toBe(3);
  expect(procedures(keptAside ?? "")).toBe(5);
  expect(readdirSync(killed).filter((name) => name.includes("restoring"))).toEqual([]);
  expect(existsSync(join(folder, "hub.lock"))).toBe(false);
});

test("[restore 3] a damaged hub's file gives way, and is kept as it was", () => {
  const { folder, database, backup, path } = backedUp();
  database.close();
  writeFileSync(path, "burnt");
  const { keptAside } = restore(folder, backup, nowMs);
  expect(readFileSync(keptAside ?? "", "utf8")).toBe("burnt");
  expect(procedures(path)).toBe(3);
});

test("[restore 3] a data folder that is gone is made anew", () => {
  const { backup } = backedUp();
  const folder = join(aDataFolder(), "new");
  expect(restore(folder, backup, nowMs).keptAside).toBeNull();
  expect(procedures(join(folder, "hub.sqlite"))).toBe(3);
});

test("[restore 1] [data-folder 1] while a hub runs on the folder nothing is restored", () => {
  const { folder, backup, path } = backedUp();
  const letGo = holdDataFolder(folder);
  const before = readdirSync(folder);
  expect(() => restore(folder, backup, nowMs)).toThrow(DataFolderTakenError);
  expect(readdirSync(folder)).toEqual(before);
  letGo();
  restore(folder, backup, nowMs);
  expect(procedures(path)).toBe(3);
});

test("[restore 2] a backup that was changed by a single bit is refused", () => {
  const { folder, database, backup, path } = backedUp();
  database.close();
  const [before, whole] = [readFileSync(path), readFileSync(backup)];
  // Every place in turn would take long: one in each stretch of 997 bytes.
  for (let at = 0; at < whole.length; at += 997) {
    const bytes = Buffer.from(whole);
    bytes[at] = (bytes[at] ?? 0) ^ (1 << (at % 8));
    writeFileSync(backup, bytes);
    expect(() => restore(folder, backup, nowMs), String(at)).toThrow(BackupDamagedError);
  }
  expect(readFileSync(path).equals(before)).toBe(true);
  expect(readdirSync(folder).filter((name) => name.includes("restor"))).toEqual([]);
});

test("[restore 2] without its note a backup is still read through, and the report says so", () => {
  const { folder, database, backup } = backedUp();
  database.close();
  const bare = join(aDataFolder(), "bare");
  copyFileSync(backup, bare);
  expect(restore(folder, bare, nowMs).isDigestChecked).toBe(false);
  writeFileSync(bare, readFileSync(backup).subarray(0, 9_000));
  expect(() => restore(folder, bare, nowMs + 1)).toThrow(BackupDamagedError);
});

test("[restore 2] a backup of a newer version, a file that is none, and the hub's own are refused", () => {
  const { folder, database, backup, path } = backedUp();
  database.close();
  const before = readFileSync(path);
  const newer = join(aDataFolder(), "newer");
  copyFileSync(backup, newer);
  const changed = new Database(newer);
  changed.pragma("user_version = 900");
  changed.close();
  expect(() => restore(folder, newer, nowMs)).toThrow(HubFileNewerError);
  for (const none of [path, join(folder, "none")])
    expect(() => restore(folder, none, nowMs)).toThrow(TaskRefusedError);
  expect(readFileSync(path).equals(before)).toBe(true);
});

test("[restore 5] a code that was not used at the time of the backup lets nobody in afterwards", () => {
  const { folder, database, path } = backedUp();
  database.exec(`
    INSERT INTO runs (run, title, procedure, opened_by, opened_at_ms)
      SELECT 'r', 'Monday', identity, 'd', 0 FROM procedures LIMIT 1;
    INSERT INTO invitations (code_digest, run, role, lane, expires_at_ms, used_by) VALUES
      ('open', 'r', 'observer', NULL, 9e12, NULL),
      ('used', 'r', 'observer', NULL, 9e12, 'x'),
      ('spare', 'r', 'director', NULL, NULL, NULL);`);
  const backup = join(aDataFolder(), "tuesday.backup");
  backUp(folder, backup);
  database.close();
  restore(folder, backup, nowMs);
  const restored = openDatabase(path);
  const codes = restored.prepare("SELECT code_digest, expires_at_ms FROM invitations").raw().all();
  restored.close();
  expect(Object.fromEntries(codes as [string, number][])).toEqual({
    open: 0,
    used: 9e12,
    spare: null,
  });
});
