// A hub's file with something in it, for the tests of tasks.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type Database from "better-sqlite3";
import { onTestFinished } from "vitest";
import { openDatabase } from "../../../../../workers/hub/storage/open-database.ts";

/** A data folder; gone when the test ends. */
export function aDataFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-data-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** Opens the hub's file of a folder, with this many more procedures in it; open until the test ends. */
export function aHubFile(folder: string, procedures: number): Database.Database {
  const database = openDatabase(join(folder, "hub.sqlite"));
  onTestFinished(() => void database.close());
  addProcedures(database, procedures);
  return database;
}

/** Adds procedures, each in a transaction of its own. */
export function addProcedures(database: Database.Database, count: number): void {
  const add = database.prepare(addProcedureSql);
  for (let time = 0; time < count; time += 1) add.run();
}

/** Adds one procedure of some 2 KB. */
export const addProcedureSql = `INSERT INTO procedures (identity, id, title, revision, summary, text)
  VALUES (hex(randomblob(32)), 'p', 'Title', '1', '', hex(randomblob(1000)))`;
