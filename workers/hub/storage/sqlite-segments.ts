// Segments and their places in SQLite: [storage 3] to [storage 8] and [storage 14].
//
// Segments that come in while others are waiting for the disk are taken in one transaction, each as if
// alone: a commit waits for the disk, and with many devices that would be most of the time.

import type Database from "better-sqlite3";
import { assert } from "../../../machines/base/assert.ts";
import type { InjectId } from "../../../machines/procedure/ids.ts";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import type { SetAsideReport } from "../../../machines/sync/pull.ts";
import type { HiddenEntry } from "../../../machines/sync/redact-for-role.ts";
import { unpackText } from "./pack-text.ts";
import { setAsideMax } from "./record-storage.ts";
import type { Listed, ListedPage, RecordStorage, SetAsideSegment } from "./record-storage.ts";
import { queueTakes } from "./sqlite-takes.ts";

type SegmentCalls =
  | "takeSegment"
  | "setAside"
  | "readHave"
  | "readListed"
  | "readHead"
  | "readFiredInjects"
  | "isDirectorOnly"
  | "readSetAside"
  | "readSetAsideReports";

/** The calls of a storage that concern segments. */
export function sqliteSegments(database: Database.Database): Pick<RecordStorage, SegmentCalls> {
  const readHave = database.prepare<[RunId], { device: DeviceId; have: number }>(
    "SELECT device, have FROM chains WHERE run = (SELECT number FROM runs WHERE run = ?)",
  );
  const readHead = database.prepare<[RunId], { head: number }>(
    "SELECT head FROM runs WHERE run = ?",
  );
  const readFired = database.prepare<[RunId], { fires: InjectId }>(
    `SELECT DISTINCT fires FROM noted
     WHERE run = (SELECT number FROM runs WHERE run = ?) AND fires IS NOT NULL`,
  );
  const readNoted = database.prepare<[RunId, DeviceId, number], { isDirectorOnly: number }>(
    `SELECT is_director_only AS isDirectorOnly FROM noted
     WHERE run = (SELECT number FROM runs WHERE run = ?) AND device = ? AND seq = ?`,
  );
  const readChain = database.prepare<[RunId, DeviceId], { have: number }>(
    "SELECT have FROM chains WHERE run = (SELECT number FROM runs WHERE run = ?) AND device = ?",
  );
  const setAsideNow = setterAside(database);
  const setAside = database.transaction((evidence: SetAsideSegment) => setAsideNow(evidence));
  const readListed = pageReader(database);
  const readPage = database.transaction(readListed);
  return {
    takeSegment: queueTakes(database, setAsideNow),
    setAside: async (evidence) => setAside.immediate(evidence),
    async readHave(run) {
      return Object.fromEntries(readHave.all(run).map(({ device, have }) => [device, have]));
    },
    readListed: async (run, after, entriesMost) => readPage(run, after, entriesMost),
    readHead: async (run) => readHead.get(run)?.head ?? 0,
    readFiredInjects: async (run) => new Set(readFired.all(run).map(({ fires }) => fires)),
    async isDirectorOnly(run, { device, seq }) {
      if (seq > (readChain.get(run, device)?.have ?? 0)) return undefined;
      return readNoted.get(run, device, seq)?.isDirectorOnly === 1;
    },
    ...asideReaders(database),
  };
}

function asideReaders(
  database: Database.Database,
): Pick<RecordStorage, "readSetAside" | "readSetAsideReports"> {
  const from = `FROM set_aside JOIN runs ON runs.number = set_aside.run WHERE runs.run = ?
    ORDER BY ordinal`;
  const report = `device, from_seq AS fromSeq, to_seq AS toSeq, code, received_ms AS receivedMs`;
  const readAll = database.prepare<[RunId], SetAsideSegment>(
    `SELECT ${report}, runs.run, digest, text ${from}`,
  );
  const readReports = database.prepare<[RunId], SetAsideReport>(`SELECT ${report} ${from}`);
  return {
    readSetAside: async (run) => readAll.all(run),
    readSetAsideReports: async (run) => readReports.all(run),
  };
}

/** Sets aside within a transaction. False: there was no room for it, or it was there. */
export type SetAsideNow = (evidence: SetAsideSegment) => boolean;

function setterAside(database: Database.Database): SetAsideNow {
  const readRun = database.prepare<[RunId], { number: number; setAside: number }>(
    "SELECT number, set_aside AS setAside FROM runs WHERE run = ?",
  );
  const isThere = database.prepare<[number, string, string], unknown>(
    "SELECT 1 FROM set_aside WHERE run = ? AND digest = ? AND code = ?",
  );
  const count = database.prepare<[number]>(
    "UPDATE runs SET set_aside = set_aside + 1 WHERE number = ?",
  );
  const add = database.prepare<[SetAsideSegment & { number: number }]>(
    `INSERT INTO set_aside
       (run, device, from_seq, to_seq, digest, text, code, received_ms)
     VALUES (@number, @device, @fromSeq, @toSeq, @digest, @text, @code, @receivedMs)`,
  );
  return (evidence) => {
    const run = readRun.get(evidence.run);
    assert(run !== undefined, "the run of what is set aside is kept");
    if (isThere.get(run.number, evidence.digest, evidence.code) !== undefined) return false;
    count.run(run.number);
    if (run.setAside >= setAsideMax) return false;
    add.run({ ...evidence, number: run.number });
    return true;
  };
}

type ListedRow = {
  readonly place: number;
  readonly entries: number;
  readonly packed: Buffer;
  readonly tail: string | null;
};
type HiddenRow = HiddenEntry & { readonly place: number };

function pageReader(
  database: Database.Database,
): (run: RunId, after: number, entriesMost: number) => ListedPage {
  const readRun = database.prepare<[RunId], { number: number; head: number }>(
    "SELECT number, head FROM runs WHERE run = ?",
  );
  const readRows = database.prepare<[number, number], ListedRow>(
    `SELECT place, entries, packed, tail FROM listed LEFT JOIN chains USING (chain)
     WHERE listed.run = ? AND place > ? ORDER BY place`,
  );
  const readHidden = database.prepare<[number, number, number], HiddenRow>(
    `SELECT place, seq, digest FROM noted
     WHERE run = ? AND is_director_only = 1 AND place > ? AND place <= ? ORDER BY place, seq`,
  );
  const readUnveiled = database.prepare<[number, number], { text: string }>(
    `SELECT text FROM noted
     WHERE run = ? AND is_director_only = 1 AND place < ? ORDER BY place, seq`,
  );
  return (runId, after, entriesMost) => {
    const run = readRun.get(runId);
    if (run === undefined) return { listed: [], head: 0 };
    const rows = rowsUpTo(readRows.iterate(run.number, after), entriesMost);
    const hidden = readHidden.all(run.number, after, rows.at(-1)?.place ?? 0);
    const textsBefore = (place: number) =>
      readUnveiled.all(run.number, place).map(({ text }) => text);
    return { listed: rows.map((row) => listedOf(row, hidden, textsBefore)), head: run.head };
  };
}

function rowsUpTo(rows: Iterable<ListedRow>, entriesMost: number): readonly ListedRow[] {
  const page: ListedRow[] = [];
  let entries = 0;
  for (const row of rows) {
    page.push(row);
    entries += row.entries;
    if (entries >= entriesMost) break;
  }
  return page;
}

function listedOf(
  { place, packed, tail }: ListedRow,
  hidden: readonly HiddenRow[],
  textsBefore: (place: number) => readonly string[],
): Listed {
  if (tail === null) return { place, what: "unveiled", texts: textsBefore(place) };
  const ofSegment = hidden
    .filter((one) => one.place === place)
    .map(({ seq, digest }) => ({ seq, digest }));
  return { place, what: "segment", text: unpackText(packed, tail), hidden: ofSegment };
}
