// Entries and their places in SQLite: [storage 3] to [storage 8].

import type Database from "better-sqlite3";
import { assert } from "../../../machines/base/assert.ts";
import type { InjectId } from "../../../machines/procedure/ids.ts";
import type { Entry } from "../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import { judgeEntries } from "./judge-entries.ts";
import type {
  EntriesFrom,
  IncomingEntry,
  ListedEntry,
  RecordStorage,
  SetAsideEntry,
  TakeResult,
} from "./record-storage.ts";

type EntryCalls =
  | "takeEntries"
  | "readHave"
  | "readEntries"
  | "readHead"
  | "readFiredInjects"
  | "isDirectorOnly"
  | "readSetAside";

/** The calls of a storage that concern entries. */
export function sqliteEntries(database: Database.Database): Pick<RecordStorage, EntryCalls> {
  const take = entryTaker(database);
  // By way of the devices: one look into the index for each, however many entries there are.
  const readHave = database.prepare<[RunId], { device: DeviceId; seq: number | null }>(
    `SELECT device, (
       SELECT max(seq) FROM entries WHERE entries.run = devices.run AND entries.device = devices.device
     ) AS seq FROM devices WHERE run = ?`,
  );
  const readPage = database.prepare<[RunId, number, number], ListedRow>(
    `SELECT place, text, digest, is_director_only AS isDirectorOnly
     FROM places JOIN entries ON entries.ordinal = places.entry
     WHERE places.run = ? AND place > ? ORDER BY place LIMIT ?`,
  );
  const readHead = database.prepare<[RunId], { head: number }>(
    "SELECT coalesce(max(place), 0) AS head FROM places WHERE run = ?",
  );
  const readFired = database.prepare<[RunId], { fires: InjectId }>(
    "SELECT DISTINCT fires FROM entries WHERE run = ? AND fires IS NOT NULL",
  );
  const readOne = database.prepare<[RunId, DeviceId, number], { isDirectorOnly: number }>(
    `SELECT is_director_only AS isDirectorOnly FROM entries
     WHERE run = ? AND device = ? AND seq = ?`,
  );
  const readAside = database.prepare<[RunId], SetAsideEntry>(
    "SELECT device, seq, digest, text, code FROM set_aside WHERE run = ? ORDER BY ordinal",
  );
  const readEntries = database.transaction((run: RunId, after: number, most: number) => ({
    listed: readPage.all(run, after, most).map(rowToListed),
    head: readHead.get(run)?.head ?? 0,
  }));
  return {
    takeEntries: async (entries, from) => take(entries, from),
    async readHave(run) {
      const rows = readHave.all(run);
      return Object.fromEntries(
        rows.flatMap(({ device, seq }) => (seq === null ? [] : [[device, seq]])),
      );
    },
    readEntries: async (run, after, most) => readEntries(run, after, most),
    readHead: async (run) => readHead.get(run)?.head ?? 0,
    readFiredInjects: async (run) => new Set(readFired.all(run).map(({ fires }) => fires)),
    async isDirectorOnly(run, { device, seq }) {
      const row = readOne.get(run, device, seq);
      return row === undefined ? undefined : row.isDirectorOnly === 1;
    },
    readSetAside: async (run) => readAside.all(run),
  };
}

type ListedRow = { place: number; text: string; digest: string; isDirectorOnly: number };

function rowToListed({ place, text, digest, isDirectorOnly }: ListedRow): ListedEntry {
  // The text is the canonical one of an entry that was read when it came in.
  const entry = JSON.parse(text) as Entry;
  return { place, entry, digest, isDirectorOnly: isDirectorOnly === 1 };
}

type Take = (entries: readonly IncomingEntry[], from: EntriesFrom) => TakeResult;

function entryTaker(database: Database.Database): Take {
  const readHave = database.prepare<[RunId, DeviceId], { have: number }>(
    "SELECT coalesce(max(seq), 0) AS have FROM entries WHERE run = ? AND device = ?",
  );
  const readDigest = database.prepare<[RunId, DeviceId, number], { digest: string }>(
    "SELECT digest FROM entries WHERE run = ? AND device = ? AND seq = ?",
  );
  const list = entryLister(database);
  const setAside = database.prepare(
    `INSERT INTO set_aside (run, device, seq, digest, text, code, received_ms)
     VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT (run, digest) DO NOTHING`,
  );
  const take = database.transaction((entries: readonly IncomingEntry[], from: EntriesFrom) => {
    const { run, device, nowMs } = from;
    const have = readHave.get(run, device)?.have ?? 0;
    const judgement = judgeEntries(
      entries,
      have,
      (seq) => readDigest.get(run, device, seq)?.digest,
    );
    for (const taken of judgement.take) list(taken, from);
    const code = judgement.refused?.code ?? "gap";
    const asideCounts = judgement.setAside.map(({ entry, digest, text }) => {
      return setAside.run(run, device, entry.seq, digest, text, code, nowMs).changes;
    });
    return {
      taken: judgement.take.length,
      setAside: asideCounts.reduce((total, one) => total + one, 0),
      refused: judgement.refused,
    };
  });
  return (entries, from) => take.immediate(entries, from);
}

function entryLister(
  database: Database.Database,
): (taken: IncomingEntry, from: EntriesFrom) => void {
  const add = database.prepare(
    `INSERT INTO entries
       (run, device, seq, digest, text, is_director_only, admits, fires, received_ms)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  const place = database.prepare<[RunId, number | bigint, RunId]>(
    `INSERT INTO places (run, place, entry)
     SELECT ?, coalesce(max(place), 0) + 1, ? FROM places WHERE run = ?`,
  );
  const close = database.prepare<[RunId]>(
    "UPDATE runs SET is_closed = 1 WHERE run = ? AND is_closed = 0",
  );
  const forDirectors = database.prepare<[RunId], { ordinal: number }>(
    `SELECT entries.ordinal FROM entries JOIN places ON places.entry = entries.ordinal
     WHERE entries.run = ? AND is_director_only = 1 ORDER BY place`,
  );
  return ({ entry, digest, text, ...facts }, { run, device, nowMs }) => {
    assert(entry.run === run, "an entry that comes in is of the run of the call");
    assert(entry.device === device, "an entry that comes in is of the device of the call");
    const row = [run, device, entry.seq, digest, text, Number(facts.isDirectorOnly)];
    const { lastInsertRowid } = add.run(...row, facts.admits, facts.fires, nowMs);
    place.run(run, lastInsertRowid, run);
    if (!facts.closesRun || close.run(run).changes === 0) return;
    for (const { ordinal } of forDirectors.all(run)) place.run(run, ordinal, run);
  };
}
