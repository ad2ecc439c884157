// What the hub's work costs beside its database's: see README.md for the ways, the workload and what is
// left out.
//
// To run: npm run bench -- tests/bench/hub.bench.ts

import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { protocolHeader, protocolVersion } from "../../machines/sync/protocol-version.ts";
import { systemClock } from "../../workers/hub/clock.ts";
import { createEventStreams } from "../../workers/hub/event-streams.ts";
import { createLimits } from "../../workers/hub/limits.ts";
import { createMetrics } from "../../workers/hub/metrics.ts";
import { createHubApp } from "../../workers/hub/server.ts";
import { createStanding } from "../../workers/hub/standing.ts";
import type { RecordStorage } from "../../workers/hub/storage/record-storage.ts";
import { openPostgresStorage } from "../../workers/hub/storage/postgres-storage.ts";
import { openSqliteStorage } from "../../workers/hub/storage/sqlite-storage.ts";
import { startPostgresCluster } from "../support/postgres-cluster.ts";
import { makeDevices } from "./hub-devices.ts";
import type { BenchDevice, Load } from "./hub-devices.ts";
import { benchFollowing } from "./follow-latency.ts";

const devices = 1_000;
const devicesPerRun = 25;
const rounds = 3;
const loads: readonly Load[] = [
  { pushes: 4, entriesPerPush: 1 },
  { pushes: 4, entriesPerPush: 5 },
  { pushes: 2, entriesPerPush: 50 },
];

if (process.env["LANEHOLD_BENCH_SERVES"] === undefined) {
  for (const load of loads) await benchThroughput(load);
  await benchAtRest();
}
await benchFollowing();

async function benchThroughput(load: Load): Promise<void> {
  const { pushes, entriesPerPush } = load;
  console.log(`${devices} devices, ${pushes} pushes each, ${entriesPerPush} entries a push`);
  const times = new Map<string, number[]>();
  const cluster = await startPostgresCluster(true);
  try {
    for (let round = 0; round <= rounds; round += 1) {
      const timed = await timeAll(await cluster.createDatabase(), load);
      // The first round warms up.
      if (round === 0) continue;
      for (const [way, ms] of Object.entries(timed))
        times.set(way, [...(times.get(way) ?? []), ms]);
    }
  } finally {
    await cluster.end();
  }
  const floorMs = median(times.get("raw, a transaction a push") ?? []);
  for (const [way, all] of times) {
    const ms = median(all);
    const perSecond = Math.round((devices * pushes * 1000) / ms);
    console.log(`  ${way}: ${perSecond} pushes/s, ratio ${(floorMs / ms).toFixed(2)}`);
  }
}

async function timeAll(database: string, load: Load): Promise<Readonly<Record<string, number>>> {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-bench-"));
  const sqlite = openSqliteStorage(join(folder, "hub"));
  const postgres = await openPostgresStorage(database);
  try {
    const made = await makeDevices(sqlite, { devices, devicesPerRun }, load);
    const others = await makeDevices(postgres, { devices, devicesPerRun }, load);
    return {
      "raw, a transaction a push": timeOfRaw(join(folder, "raw"), made, 1),
      "raw, a transaction for 100 pushes": timeOfRaw(join(folder, "together"), made, 100),
      "hub on SQLite": await timeOfHub(sqlite, made),
      "hub on PostgreSQL": await timeOfHub(postgres, others),
    };
  } finally {
    await sqlite.close();
    await postgres.close();
    rmSync(folder, { recursive: true });
  }
}

async function timeOfHub(storage: RecordStorage, made: readonly BenchDevice[]): Promise<number> {
  const clock = systemClock;
  const app = createHubApp({
    storage,
    clock,
    streams: createEventStreams(clock),
    limits: createLimits(clock),
    metrics: createMetrics(),
    standing: createStanding(),
    log: () => undefined,
    appFolder: "none",
    invitationMs: 1,
    randomBelow: () => 0,
  });
  const beganMs = performance.now();
  await Promise.all(
    made.map(async ({ run, token, bodies }) => {
      const headers = {
        [protocolHeader]: String(protocolVersion),
        authorization: `Bearer ${token}`,
      };
      for (const body of bodies) {
        const request = { method: "POST", headers, body };
        const answer = await app.request(`/api/runs/${run}/entries`, request, {});
        const text = await answer.text();
        if (answer.status !== 200 || !text.includes('"refused":[]')) throw new Error(text);
      }
    }),
  );
  return performance.now() - beganMs;
}

/** The same bytes as rows of one table, durable as the hub's. */
function timeOfRaw(file: string, made: readonly BenchDevice[], pushesTogether: number): number {
  const database = new Database(file);
  database.pragma("journal_mode = WAL");
  database.pragma("synchronous = FULL");
  database.exec("CREATE TABLE bodies (ordinal INTEGER PRIMARY KEY, run TEXT, body TEXT) STRICT");
  const add = database.prepare("INSERT INTO bodies (run, body) VALUES (?, ?)");
  const addAll = database.transaction((rows: readonly (readonly [string, string])[]) => {
    for (const [run, body] of rows) add.run(run, body);
  });
  const pushes = made[0]?.bodies.length ?? 0;
  const rows = Array.from({ length: pushes }, (_, push) =>
    made.map(({ run, bodies }) => [run, bodies[push] ?? ""] as const),
  ).flat();
  const beganMs = performance.now();
  for (let from = 0; from < rows.length; from += pushesTogether) {
    addAll.immediate(rows.slice(from, from + pushesTogether));
  }
  const ms = performance.now() - beganMs;
  database.close();
  return ms;
}

/** 20 devices with 2,500 entries each: how large the hub's file is. */
async function benchAtRest(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), "lanehold-bench-"));
  try {
    for (const entriesPerPush of [5, 100, 500]) {
      const file = join(folder, `rest-${entriesPerPush}`);
      const storage = openSqliteStorage(file);
      const load = { pushes: 2_500 / entriesPerPush, entriesPerPush };
      const made = await makeDevices(storage, { devices: 20, devicesPerRun: 20 }, load);
      await timeOfHub(storage, made);
      await storage.close();
      const bytes = statSync(file).size;
      console.log(`50,000 entries, ${entriesPerPush} a push: ${(bytes / 1e6).toFixed(2)} MB`);
    }
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
}
