// Opens the hub's SQLite file and brings it up to date.
//
// [hub-file 1] A file of a newer version is refused and stays as it is; an older one is brought up to
//   date in one transaction.
// [hub-file 2] A commit is on the disk before it returns (journal WAL with synchronous=FULL), so that it
//   outlives a killed process and a lost power supply.

import { randomUUID } from "node:crypto";
import Database from "better-sqlite3";
import { HubFileNewerError } from "./hub-file-newer-error.ts";
import { HubFileUnreadableError } from "./hub-file-unreadable-error.ts";
import { allMigrations } from "./migrations/all-migrations.ts";

/**
 * Opens the file at `path`, or makes it.
 *
 * Errors: `HubFileNewerError`, `HubFileUnreadableError`.
 */
export function openDatabase(path: string): Database.Database {
  let database: Database.Database | null = null;
  try {
    database = new Database(path);
    database.pragma("busy_timeout = 5000");
    bringUpToDate(database, path);
    database.pragma("journal_mode = WAL");
    database.pragma("synchronous = FULL");
    database.pragma("foreign_keys = ON");
    return database;
  } catch (cause) {
    database?.close();
    throw cause instanceof HubFileNewerError ? cause : new HubFileUnreadableError(path, cause);
  }
}

function bringUpToDate(database: Database.Database, path: string): void {
  const fileVersion = Number(database.pragma("user_version", { simple: true }));
  const knownVersion = allMigrations.length;
  if (fileVersion > knownVersion) throw new HubFileNewerError({ path, fileVersion, knownVersion });
  if (fileVersion === knownVersion) return;
  const migrate = database.transaction(() => {
    for (const sql of allMigrations.slice(fileVersion)) database.exec(sql);
    if (fileVersion === 0) database.prepare("INSERT INTO hub (epoch) VALUES (?)").run(randomUUID());
    database.pragma(`user_version = ${knownVersion}`);
  });
  migrate.immediate();
}
