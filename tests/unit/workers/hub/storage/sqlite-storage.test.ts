// The storage in a SQLite file keeps the rules of every storage, and its own.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, expect, test } from "vitest";
import { HubFileNewerError } from "../../../../../workers/hub/storage/hub-file-newer-error.ts";
import { HubFileUnreadableError } from "../../../../../workers/hub/storage/hub-file-unreadable-error.ts";
import { openDatabase } from "../../../../../workers/hub/storage/open-database.ts";
import { openSqliteStorage } from "../../../../../workers/hub/storage/sqlite-storage.ts";
import { chain, incoming, notes } from "../incoming-entries.ts";
import { joining, putRun, run, tablet } from "./a-stored-run.ts";
import { checkRecordStorage } from "./record-storage.suite.ts";

const folders: string[] = [];
afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true });
});

function freshPath(): string {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-storage-"));
  folders.push(folder);
  return join(folder, "hub.sqlite");
}

const evidence = { code: "signature", receivedMs: 1, digest: "d", text: "{}" } as const;

checkRecordStorage(() => Promise.resolve(openSqliteStorage(freshPath())));

test("[storage 1] [storage 15] what was taken is there when the file is opened again", async () => {
  const path = freshPath();
  const first = openSqliteStorage(path);
  await putRun(first);
  const segment = incoming(chain({ run, device: tablet }, notes(3)));
  await first.takeSegment(segment, 1);
  await first.setAside({ run, device: tablet, fromSeq: 1, toSeq: 1, ...evidence });
  await first.hearDevice(run, joining.tokenDigest, 77_000);
  const before = await first.readListed(run, 0, 10);
  // Opened beside the first, which is not closed: as after a killed process, there is only the file.
  const second = openSqliteStorage(path);
  expect(await second.readListed(run, 0, 10)).toEqual(before);
  expect(before.listed).toMatchObject([{ text: segment.textFrom(1) }]);
  expect(await second.readSetAside(run)).toHaveLength(1);
  expect((await second.readLastHeardMs(run))[tablet]).toBe(77_000);
  expect(second.epoch).toBe(first.epoch);
  await first.close();
  await second.close();
});

test("[hub-file 2] a commit waits for the disk", () => {
  const database = openDatabase(freshPath());
  const full = 2;
  expect(database.pragma("journal_mode", { simple: true })).toBe("wal");
  expect(database.pragma("synchronous", { simple: true })).toBe(full);
  expect(database.pragma("foreign_keys", { simple: true })).toBe(1);
  database.close();
});

test("[hub-file 1] a file of a newer version is refused and stays as it is", async () => {
  const path = freshPath();
  await openSqliteStorage(path).close();
  const file = new Database(path);
  file.pragma("user_version = 99");
  file.pragma("journal_mode = DELETE");
  file.close();
  const before = readFileSync(path);
  expect(() => openSqliteStorage(path)).toThrow(HubFileNewerError);
  expect(readFileSync(path).equals(before)).toBe(true);
});

test("[hub-file 1] a file that is none of ours is refused with a sentence", () => {
  const path = freshPath();
  writeFileSync(path, "this is a shopping list, not a database".repeat(100));
  expect(() => openSqliteStorage(path)).toThrow(HubFileUnreadableError);
  expect(() => openSqliteStorage(join(path, "no-such", "hub.sqlite"))).toThrow(
    /could not be opened/,
  );
});
