// How many bytes the record of merge.bench.ts takes on the wire, in a bundle and at rest at the hub. See
// README.md for the ways and what is left out.
//
// To run: npm run bench -- tests/bench/size.bench.ts

import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import Database from "better-sqlite3";
import { canonicalJson } from "../../machines/base/canonical-json.ts";
import { procedureIdentity } from "../../machines/procedure/identity.ts";
import type { DeviceId } from "../../machines/record/ids.ts";
import { createSegment, readSegment } from "../../machines/sync/segment.ts";
import type { ReadSegment, Segment } from "../../machines/sync/segment.ts";
import { openSqliteStorage } from "../../workers/hub/storage/sqlite-storage.ts";
import type { RecordStorage } from "../../workers/hub/storage/record-storage.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import { linesOf, makeWorkload, pagesOf, segmentsOf } from "./merge-workload.ts";
import type { Workload } from "./merge-workload.ts";

await main();

async function main(): Promise<void> {
  const workload = await makeWorkload();
  const lines = Buffer.from(linesOf(workload));
  tell("entries as text, a line each", lines.length);
  tell("the same as gzip", gzipSync(lines).length);
  for (const entriesMax of [500, 50, 5]) {
    const segments = await segmentsOf(workload, entriesMax);
    const perPage = Math.ceil(1_000 / entriesMax);
    const pages = pagesOf(segments, perPage).map((page) => gzipSync(page).length);
    const packed = `segments of ${entriesMax}`;
    tell(`${packed}, pulled by pages of 1,000 entries`, sum(pages));
    tell(`${packed}, as one gzip: a bundle's`, gzipSync(canonicalJson(segments)).length);
    tell(`${packed}, the hub's file after VACUUM`, await bytesAtHub(workload, segments));
  }
}

function tell(what: string, bytes: number): void {
  console.log(`${what}: ${(bytes / 1e6).toFixed(3)} MB`);
}

function sum(numbers: readonly number[]): number {
  return numbers.reduce((total, number) => total + number, 0);
}

// What the file grows by, with the procedure left out.
async function bytesAtHub(workload: Workload, segments: readonly Segment[]): Promise<number> {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-bench-"));
  const file = join(folder, "hub.sqlite");
  try {
    const storage = openSqliteStorage(file);
    await openRun(storage, workload);
    const before = compactedBytes(file);
    for (const segment of segments) await take(storage, segment);
    await storage.close();
    return compactedBytes(file) - before;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function openRun(
  storage: RecordStorage,
  { procedure, run, chains }: Workload,
): Promise<void> {
  const identity = procedureIdentity(procedure, sha256Hex);
  const { id, title, revision } = procedure;
  const summary = { identity, id, title, revision, summary: "" };
  await storage.putProcedure({ ...summary, text: canonicalJson(procedure) });
  const { device } = chains[0]?.key ?? { device: "" };
  await storage.openRun({
    run,
    title,
    procedure: identity,
    device: device as DeviceId,
    deviceName: "Desk",
    tokenDigest: "0",
    recovery: null,
    nowMs: 0,
  });
}

async function take(storage: RecordStorage, value: Segment): Promise<void> {
  const { segment } = readSegment(value, "", sha256Hex);
  if (segment === null) throw new Error("A segment is not whole.");
  const { head, fromSeq, prev, digests } = segment;
  const { run, device, seq: toSeq } = head;
  const textFrom = (seq: number): string => textOf(segment, seq);
  const incoming = { run, device, fromSeq, toSeq, prev, digests, textFrom, noted: [] };
  const { refused } = await storage.takeSegment(incoming, 0);
  if (refused !== null) throw new Error(refused.code);
}

function textOf({ head, fromSeq, entries }: ReadSegment, seq: number): string {
  return canonicalJson(createSegment(entries.slice(seq - fromSeq), head));
}

function compactedBytes(file: string): number {
  const copy = `${file}-copy`;
  const database = new Database(file);
  database.exec(`VACUUM INTO '${copy}'`);
  database.close();
  const { size } = statSync(copy);
  rmSync(copy);
  return size;
}
