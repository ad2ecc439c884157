// Reading segments and what was set aside from PostgreSQL: [storage 3], [storage 8], [storage 14].
//
// What is listed never changes and grows at its end only, so that what is asked one after the other fits
// together without a transaction.

import type { InjectId } from "../../../machines/procedure/ids.ts";
import type { DeviceId, RunId } from "../../../machines/record/ids.ts";
import type { SetAsideReport } from "../../../machines/sync/pull.ts";
import type { HiddenEntry } from "../../../machines/sync/redact-for-role.ts";
import { assert } from "../../../machines/base/assert.ts";
import { unpackText } from "./pack-text.ts";
import type { Ask, PostgresDatabase } from "./postgres-database.ts";
import { setAsideMax } from "./record-storage.ts";
import type { Listed, ListedPage, RecordStorage, SetAsideSegment } from "./record-storage.ts";

type SegmentCalls =
  | "setAside"
  | "readHave"
  | "readListed"
  | "readHead"
  | "readFiredInjects"
  | "isDirectorOnly"
  | "readSetAside"
  | "readSetAsideReports";

const ofRun = "run = (SELECT number FROM runs WHERE run = $1)";

/** The calls of a storage that concern segments, but for taking them. */
export function postgresSegments({
  ask,
  transact,
}: PostgresDatabase): Pick<RecordStorage, SegmentCalls> {
  return {
    setAside: (evidence) => transact((asking) => setAsideWithin(asking, evidence)),
    async readHave(run) {
      const sql = `SELECT device, have FROM chains WHERE ${ofRun}`;
      const rows = await ask<{ device: DeviceId; have: number }>(sql, [run]);
      return Object.fromEntries(rows.map(({ device, have }) => [device, have]));
    },
    readListed: (run, after, entriesMost) => readListed(ask, run, { after, entriesMost }),
    readHead: (run) => readHead(ask, run),
    async readFiredInjects(run) {
      const sql = `SELECT DISTINCT fires FROM noted WHERE ${ofRun} AND fires IS NOT NULL`;
      const rows = await ask<{ fires: InjectId }>(sql, [run]);
      return new Set(rows.map(({ fires }) => fires));
    },
    async isDirectorOnly(run, { device, seq }) {
      const [row] = await ask<{ isDirectorOnly: boolean }>(
        `SELECT coalesce(is_director_only, false) AS "isDirectorOnly"
         FROM chains LEFT JOIN noted
           ON noted.run = chains.run AND noted.device = chains.device AND noted.seq = $3
         WHERE chains.${ofRun} AND chains.device = $2 AND have >= $3`,
        [run, device, seq],
      );
      return row?.isDirectorOnly;
    },
    readSetAside: (run) =>
      ask<SetAsideSegment>(`SELECT ${report}, runs.run, digest, text ${fromSetAside}`, [run]),
    readSetAsideReports: (run) => ask<SetAsideReport>(`SELECT ${report} ${fromSetAside}`, [run]),
  };
}

const report = `device, from_seq AS "fromSeq", to_seq AS "toSeq", code, received_ms AS "receivedMs"`;
const fromSetAside = `FROM set_aside JOIN runs ON runs.number = set_aside.run WHERE runs.run = $1
  ORDER BY ordinal`;

/** Sets aside within a transaction. False: there was no room for it, or it was there. */
export async function setAsideWithin(ask: Ask, evidence: SetAsideSegment): Promise<boolean> {
  const { run: runId, device, fromSeq, toSeq, digest, text, code, receivedMs } = evidence;
  const [run] = await ask<{ number: number; setAside: number }>(
    `SELECT number, set_aside AS "setAside" FROM runs WHERE run = $1 FOR NO KEY UPDATE`,
    [runId],
  );
  assert(run !== undefined, "the run of what is set aside is kept");
  const isThere = "SELECT 1 FROM set_aside WHERE run = $1 AND digest = $2 AND code = $3";
  if ((await ask(isThere, [run.number, digest, code])).length > 0) return false;
  await ask("UPDATE runs SET set_aside = set_aside + 1 WHERE number = $1", [run.number]);
  if (run.setAside >= setAsideMax) return false;
  await ask(
    `INSERT INTO set_aside
       (run, device, from_seq, to_seq, digest, text, code, received_ms)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
    [run.number, device, fromSeq, toSeq, digest, text, code, receivedMs],
  );
  return true;
}

async function readHead(ask: Ask, run: RunId): Promise<number> {
  const [row] = await ask<{ head: number }>("SELECT head FROM runs WHERE run = $1", [run]);
  return row?.head ?? 0;
}

type ListedRow = { readonly place: number; readonly packed: Buffer; readonly tail: string | null };
type HiddenRow = HiddenEntry & { readonly place: number };

async function readListed(
  ask: Ask,
  run: RunId,
  { after, entriesMost }: { readonly after: number; readonly entriesMost: number },
): Promise<ListedPage> {
  // Each segment has an entry at least, so no page has more segments than entries.
  const rows = await ask<ListedRow>(
    `SELECT place, packed, tail FROM (
       SELECT place, packed, tail, sum(entries) OVER (ORDER BY place) - entries AS before
       FROM listed LEFT JOIN chains USING (chain)
       WHERE listed.${ofRun} AND place > $2 ORDER BY place LIMIT $3) AS page
     WHERE before < $3 ORDER BY place`,
    [run, after, entriesMost],
  );
  const last = rows.at(-1)?.place;
  if (last === undefined) return { listed: [], head: await readHead(ask, run) };
  const hidden = await ask<HiddenRow>(
    `SELECT place, seq, digest FROM noted
     WHERE ${ofRun} AND is_director_only AND place > $2 AND place <= $3 ORDER BY place, seq`,
    [run, after, last],
  );
  const listed: Listed[] = [];
  for (const { place, packed, tail } of rows) {
    if (tail === null) {
      listed.push({ place, what: "unveiled", texts: await readUnveiled(ask, run, place) });
      continue;
    }
    const ofSegment = hidden
      .filter((one) => one.place === place)
      .map(({ seq, digest }) => ({ seq, digest }));
    listed.push({ place, what: "segment", text: unpackText(packed, tail), hidden: ofSegment });
  }
  return { listed, head: await readHead(ask, run) };
}

async function readUnveiled(ask: Ask, run: RunId, place: number): Promise<readonly string[]> {
  const rows = await ask<{ text: string }>(
    `SELECT text FROM noted WHERE ${ofRun} AND is_director_only AND place < $2
     ORDER BY place, seq`,
    [run, place],
  );
  return rows.map(({ text }) => text);
}
