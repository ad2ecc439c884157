// How much memory it takes one replica to merge the record of merge.bench.ts: each way in a process of
// its own, which reads what was sent from files. See README.md.
//
// To run: npm run bench -- tests/bench/memory.bench.ts

import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
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
} from "./merge-ways.ts";
import { linesOf, makeWorkload, pagesOf, readDemo, segmentsOf } from "./merge-workload.ts";

const rounds = Number(process.env["LANEHOLD_ROUNDS"] ?? 3);
// What each way keeps of its work until its memory is read.
const ways: Readonly<Record<string, (folder: string) => Promise<unknown>>> = {
  nothing: async () => null,
  floor: async (folder) => mergeFloor({ lines: readFileSync(join(folder, "lines"), "utf8") }),
  "ours, verified and ordered": async (folder) => mergeOurs({ pages: pagesIn(folder) }, sha256Hex),
  "ours with the full fold": async (folder) => {
    const record = emptyRunningRecord(indexProcedure(readDemo()));
    addEntries(record, readPages(pagesIn(folder), sha256Hex));
    return [record, stateOfRecord(record)];
  },
  Yjs: async (folder) => (await createYjsWay())({ yjsUpdates: filesOf(folder, "yjs") }),
  "Automerge, a document a device": async (folder) =>
    (await createAutomergeWays()).apart({ automergeDocuments: filesOf(folder, "automerge") }),
};

const way = process.env["LANEHOLD_WAY"];
if (way === undefined) await compareAll();
else await runOne(way, process.env["LANEHOLD_FOLDER"] ?? "");

async function compareAll(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-bench-"));
  try {
    await writeSent(folder);
    const peaks = new Map<string, number>();
    for (const name of Object.keys(ways)) peaks.set(name, peakOf(name, folder));
    const floor = peaks.get("floor") ?? 0;
    for (const [name, bytes] of peaks) {
      console.log(`${name}: ${(bytes / 1e6).toFixed(0)} MB, ${(bytes / floor).toFixed(2)}`);
    }
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function writeSent(folder: string): Promise<void> {
  // Only here, so that no process that is measured holds the libraries of the others.
  const { automergeDocumentsOf, yjsUpdatesOf } = await import("./peer-documents.ts");
  const workload = await makeWorkload();
  writeFileSync(join(folder, "lines"), linesOf(workload));
  const files = {
    page: pagesOf(await segmentsOf(workload, entriesPerSegment), segmentsPerPage),
    yjs: yjsUpdatesOf(workload.chains),
    automerge: automergeDocumentsOf(workload.chains),
  };
  for (const [name, all] of Object.entries(files)) {
    for (const [place, bytes] of all.entries()) {
      writeFileSync(join(folder, `${name}-${String(place).padStart(3, "0")}`), bytes);
    }
  }
}

// The least of several peaks: a busy machine clears up late, which makes peaks higher, never lower.
function peakOf(name: string, folder: string): number {
  const env = { ...process.env, LANEHOLD_WAY: name, LANEHOLD_FOLDER: folder };
  const peaks = Array.from({ length: rounds }, () => {
    const script = import.meta.filename;
    const { stdout, status } = spawnSync(process.execPath, [script], { env, encoding: "utf8" });
    if (status !== 0) throw new Error(`${name} ended with ${status}`);
    return Number(stdout);
  });
  return Math.min(...peaks);
}

async function runOne(name: string, folder: string): Promise<void> {
  const kept = await ways[name]?.(folder);
  // Not `resourceUsage`: its peak is that of the process that began this one, if that is higher.
  const peak = /VmHWM:\s+(\d+) kB/.exec(readFileSync("/proc/self/status", "utf8"));
  if (kept === undefined || peak === null) throw new Error(`${name} was not measured.`);
  console.log(Number(peak[1]) * 1_024);
}

function pagesIn(folder: string): readonly string[] {
  return filesOf(folder, "page").map((bytes) => bytes.toString("utf8"));
}

function filesOf(folder: string, name: string): readonly Buffer[] {
  const names = readdirSync(folder).filter((file) => file.startsWith(`${name}-`));
  return names.sort().map((file) => readFileSync(join(folder, file)));
}
