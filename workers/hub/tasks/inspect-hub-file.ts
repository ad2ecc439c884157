// Reads a hub's file through, without changing it.
//
// [inspect 1] A file that is cut, damaged, empty, or no hub's, is refused, and so is one of a newer version.

import { statSync } from "node:fs";
import Database from "better-sqlite3";
import { HubFileNewerError } from "../storage/hub-file-newer-error.ts";
import { allMigrations } from "../storage/migrations/all-migrations.ts";
import { BackupDamagedError } from "./backup-damaged-error.ts";

/** What is in a hub's file. */
export type HubFileContents = {
  readonly version: number;
  readonly epoch: string;
  /** How many rows each table has. */
  readonly rowsByTable: Readonly<Record<string, number>>;
};

/**
 * Reads every page and index of the file.
 *
 * Errors: `BackupDamagedError`, `HubFileNewerError`.
 */
export function inspectHubFile(path: string): HubFileContents {
  let database: Database.Database | null = null;
  try {
    database = new Database(path, { readonly: true, fileMustExist: true });
    return inspect(database, path);
  } catch (cause) {
    if (cause instanceof HubFileNewerError || cause instanceof BackupDamagedError) throw cause;
    const because = cause instanceof Error ? cause.message : String(cause);
    throw new BackupDamagedError(path, because, cause);
  } finally {
    database?.close();
  }
}

/** How many rows each table has, in the order of their names. Errors: those of the driver. */
export function countRows(database: Database.Database): Readonly<Record<string, number>> {
  const tables = database
    .prepare<[], string>(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name",
    )
    .pluck()
    .all();
  const countOf = (table: string) =>
    Number(database.prepare(`SELECT count(*) FROM "${table}"`).pluck().get());
  return Object.fromEntries(tables.map((table) => [table, countOf(table)]));
}

function inspect(database: Database.Database, path: string): HubFileContents {
  const version = Number(database.pragma("user_version", { simple: true }));
  const knownVersion = allMigrations.length;
  if (version > knownVersion)
    throw new HubFileNewerError({ path, fileVersion: version, knownVersion });
  if (version === 0) throw new BackupDamagedError(path, "it is empty, or no hub's file");
  checkWhole(database, path);
  const flaw: unknown = database.pragma("integrity_check(1)", { simple: true });
  if (flaw !== "ok") throw new BackupDamagedError(path, String(flaw));
  const orphans = database.pragma("foreign_key_check") as readonly unknown[];
  if (orphans.length > 0)
    throw new BackupDamagedError(path, `${orphans.length} rows refer to rows that are missing`);
  const epochs = database.prepare<[], string>("SELECT epoch FROM hub").pluck().all();
  const [epoch] = epochs;
  if (epoch === undefined || epochs.length > 1)
    throw new BackupDamagedError(path, "it does not say which hub's it is");
  return { version, epoch, rowsByTable: countRows(database) };
}

// The driver takes what is missing of the last page for zeros. (With a journal of the sort WAL, the file
// may rightly be shorter; a backup has none.)
function checkWhole(database: Database.Database, path: string): void {
  if (database.pragma("journal_mode", { simple: true }) === "wal") return;
  const pages = Number(database.pragma("page_count", { simple: true }));
  const bytes = pages * Number(database.pragma("page_size", { simple: true }));
  const { size } = statSync(path);
  if (size !== bytes) throw new BackupDamagedError(path, `it has ${size} bytes of ${bytes}`);
}
