// How long it takes one replica to merge 20 devices' 2,500 entries each, against the floor and two
// libraries that merge. See README.md for the ways, the workload and what is left out.
//
// To run: npm run bench -- tests/bench/merge.bench.ts

import { createHash } from "node:crypto";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
import type { Entry } from "../../machines/record/entry.ts";
import {
  addEntries,
  emptyRunningRecord,
  stateOfRecord,
} from "../../machines/record/running-record.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import {
  createAutomergeWays,
  createYjsWay,
  entriesPerSegment,
  mergeFloor,
  mergeOurs,
  readPages,
  segmentsPerPage,
  verifyPages,
} from "./merge-ways.ts";
import type { SentBytes } from "./merge-ways.ts";
import { linesOf, makeWorkload, pagesOf, segmentsOf } from "./merge-workload.ts";
import type { Workload } from "./merge-workload.ts";
import { automergeDocumentsOf, yjsUpdatesOf } from "./peer-documents.ts";

setFlagsFromString("--expose-gc");
const collectGarbage = runInNewContext("gc") as () => void;

const rounds = Number(process.env["LANEHOLD_ROUNDS"] ?? 7);

await main();

async function main(): Promise<void> {
  const workload = await makeWorkload();
  const sent = await sendAll(workload);
  tellSizes(sent);
  const times = await timeAll(await waysOf(workload, sent));
  const floor = times.get("floor") ?? [];
  for (const [way, ms] of times) {
    const ratio = median(ms.map((one, round) => one / (floor[round] as number)));
    console.log(`${way}: ${median(ms).toFixed(0)} ms, ${ratio.toFixed(2)} of the floor`);
  }
}

async function sendAll(workload: Workload): Promise<SentBytes> {
  return {
    lines: linesOf(workload),
    pages: pagesOf(await segmentsOf(workload, entriesPerSegment), segmentsPerPage),
    yjsUpdates: yjsUpdatesOf(workload.chains),
    automergeDocuments: automergeDocumentsOf(workload.chains),
  };
}

function tellSizes({ lines, pages, yjsUpdates, automergeDocuments }: SentBytes): void {
  const sizes = {
    lines: lines.length,
    "our pages": pages.join("").length,
    Yjs: yjsUpdates.reduce((sum, { length }) => sum + length, 0),
    Automerge: automergeDocuments.reduce((sum, { length }) => sum + length, 0),
  };
  for (const [what, bytes] of Object.entries(sizes)) {
    console.log(`${what}: ${(bytes / 1e6).toFixed(2)} MB read`);
  }
}

type Way = () => unknown;

async function waysOf({ procedure }: Workload, sent: SentBytes): Promise<ReadonlyMap<string, Way>> {
  const index = indexProcedure(procedure);
  const yjs = await createYjsWay();
  const automerge = await createAutomergeWays();
  const fold = (entries: readonly Entry[]): unknown => {
    const record = emptyRunningRecord(index);
    addEntries(record, entries);
    return stateOfRecord(record);
  };
  return new Map<string, Way>([
    ["floor", () => mergeFloor(sent)],
    ["Yjs", () => yjs(sent)],
    ["Automerge, a document a device", () => automerge.apart(sent)],
    ["Automerge, merged", () => automerge.merged(sent)],
    ["ours, verified and ordered", () => mergeOurs(sent, sha256Hex)],
    ["the same with Node's SHA-256", () => mergeOurs(sent, nodeDigestHex)],
    ["ours with the full fold", () => fold(readPages(sent.pages, sha256Hex))],
    ["our signatures alone", () => verifyPages(sent.pages)],
  ]);
}

function nodeDigestHex(text: string): string {
  return createHash("sha256").update(text).digest("hex");
}

async function timeAll(ways: ReadonlyMap<string, Way>): Promise<ReadonlyMap<string, number[]>> {
  const times = new Map([...ways.keys()].map((way) => [way, [] as number[]]));
  for (let round = 0; round <= rounds; round += 1) {
    for (const [name, way] of ways) {
      // So that no way pays for what the one before it has left behind.
      collectGarbage();
      const began = process.cpuUsage();
      await way();
      const { user, system } = process.cpuUsage(began);
      // The first round warms up.
      if (round > 0) times.get(name)?.push((user + system) / 1_000);
    }
  }
  return times;
}

function median(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? 0;
}
