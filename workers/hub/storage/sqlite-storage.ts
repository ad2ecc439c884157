// The hub's storage in one SQLite file.
//
// The driver is synchronous and there is one connection, so calls run one after another, each in one
// transaction or savepoint ([storage 2], [storage 3]); `open-database.ts` sees to [storage 1]. Only one
// process writes to the file.

import Database from "better-sqlite3";
import type { Identity } from "../../../machines/procedure/ids.ts";
import type { ProcedureSummary } from "../../../machines/sync/procedures.ts";
import { openDatabase } from "./open-database.ts";
import type { RecordStorage, StorageCounts, StoredScriptText } from "./record-storage.ts";
import { sqliteDoor } from "./sqlite-door.ts";
import { sqliteSegments } from "./sqlite-segments.ts";
import { StorageFailedError } from "./storage-failed-error.ts";

/**
 * Opens the file, or makes it.
 *
 * Errors: `HubFileNewerError`, `HubFileUnreadableError`.
 */
export function openSqliteStorage(path: string): RecordStorage {
  const database = openDatabase(path);
  const one = <Row>(sql: string) => database.prepare<[], Row>(sql).get();
  return withStorageErrors({
    epoch: one<{ epoch: string }>("SELECT epoch FROM hub")?.epoch ?? "",
    ...documentCalls(database),
    ...sqliteDoor(database),
    ...sqliteSegments(database),
    watch: () => () => undefined,
    async count() {
      const counts = one<StorageCounts>(countSql);
      return counts ?? { runs: 0, devices: 0, entries: 0, setAside: 0 };
    },
    async close() {
      // What was queued before is taken first.
      await new Promise((resolve) => setImmediate(resolve));
      database.close();
    },
  });
}

// What the driver throws comes out as `StorageFailedError`; our own mistakes come out as they are.
function withStorageErrors(storage: RecordStorage): RecordStorage {
  return new Proxy(storage, {
    get(target, name) {
      const member: unknown = Reflect.get(target, name);
      // `watch` is the one call that answers at once; it does not ask the database.
      if (typeof member !== "function" || name === "watch") return member;
      return async (...args: unknown[]): Promise<unknown> => {
        try {
          return (await Reflect.apply(member, target, args)) as unknown;
        } catch (cause) {
          throw cause instanceof Database.SqliteError ? new StorageFailedError(cause) : cause;
        }
      };
    },
  });
}

const countSql = `SELECT
  (SELECT count(*) FROM runs) AS runs,
  (SELECT count(*) FROM devices WHERE token_digest IS NOT NULL) AS devices,
  (SELECT coalesce(sum(have), 0) FROM chains) AS entries,
  (SELECT coalesce(sum(set_aside), 0) FROM runs) AS setAside`;

type DocumentCalls =
  | "putProcedure"
  | "listProcedures"
  | "readProcedureText"
  | "putInjectScript"
  | "readInjectScript";

function documentCalls(database: Database.Database): Pick<RecordStorage, DocumentCalls> {
  const putProcedure = database.prepare(
    `INSERT INTO procedures (identity, id, title, revision, summary, text)
     VALUES (@identity, @id, @title, @revision, @summary, @text)
     ON CONFLICT (identity) DO NOTHING`,
  );
  const listProcedures = database.prepare<[], ProcedureSummary>(
    "SELECT identity, id, title, revision, summary FROM procedures ORDER BY ordinal DESC",
  );
  const readProcedure = database.prepare<[Identity], { text: string }>(
    "SELECT text FROM procedures WHERE identity = ?",
  );
  const putScript = database.prepare(
    `INSERT INTO inject_scripts (identity, procedure_id, text)
     VALUES (@identity, @procedureId, @text)
     ON CONFLICT (identity) DO NOTHING`,
  );
  const readScript = database.prepare<[string], StoredScriptText>(
    `SELECT identity, procedure_id AS procedureId, text FROM inject_scripts
     WHERE procedure_id = ? ORDER BY ordinal DESC LIMIT 1`,
  );
  return {
    async putProcedure(procedure) {
      putProcedure.run(procedure);
    },
    async listProcedures() {
      return listProcedures.all();
    },
    async readProcedureText(identity) {
      return readProcedure.get(identity)?.text ?? null;
    },
    async putInjectScript(script) {
      putScript.run(script);
    },
    async readInjectScript(procedureId) {
      return readScript.get(procedureId) ?? null;
    },
  };
}
