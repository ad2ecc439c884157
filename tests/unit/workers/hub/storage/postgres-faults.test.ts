// What a PostgreSQL that fails, and several processes on it, do to the storage.

import { setTimeout } from "node:timers/promises";
import { Client } from "pg";
import { afterAll, afterEach, beforeAll, expect, test } from "vitest";
import type { DeviceId, RunId } from "../../../../../machines/record/ids.ts";
import { HubFileNewerError } from "../../../../../workers/hub/storage/hub-file-newer-error.ts";
import { openPostgresStorage } from "../../../../../workers/hub/storage/postgres-storage.ts";
import type { Listed, RecordStorage } from "../../../../../workers/hub/storage/record-storage.ts";
import { StorageFailedError } from "../../../../../workers/hub/storage/storage-failed-error.ts";
import { startPostgresCluster } from "../../../../support/postgres-cluster.ts";
import type { PostgresCluster } from "../../../../support/postgres-cluster.ts";
import { chain, endOf, incoming, notes } from "../incoming-entries.ts";
import { entriesOf, opening, putRun, run, tablet } from "./a-stored-run.ts";

let cluster: PostgresCluster;
const opened: { close: () => Promise<void> }[] = [];

beforeAll(async () => {
  cluster = await startPostgresCluster(true);
});

afterEach(async () => {
  for (const one of opened.splice(0)) await one.close();
});

afterAll(() => cluster.end());

async function openStorage(url: string): Promise<RecordStorage> {
  const storage = await openPostgresStorage(url);
  opened.push(storage);
  return storage;
}

/** A connection beside the storage's. */
async function openClient(url: string): Promise<Client> {
  const client = new Client(url);
  client.on("error", () => undefined);
  await client.connect();
  opened.push({ close: () => client.end().catch(() => undefined) });
  return client;
}

/** A device that writes on, segment after segment, until it is told to stop; what was acknowledged. */
function writeOn(storage: RecordStorage, device: DeviceId) {
  const order = { isStopped: false };
  let acknowledged = 0;
  const failures: unknown[] = [];
  const writing = (async () => {
    let end: { seq: number; digest: string } | null = null;
    while (!order.isStopped) {
      const entries = chain({ run, device }, notes(2), end);
      // As a device does: again and again, until the hub has it.
      for (;;) {
        try {
          await storage.takeSegment(incoming(entries), 1);
          break;
        } catch (cause) {
          failures.push(cause);
          await setTimeout(20);
        }
      }
      end = endOf(entries);
      acknowledged = end.seq;
    }
  })();
  return {
    acknowledged: () => acknowledged,
    failures,
    stop: async () => {
      order.isStopped = true;
      await writing;
    },
  };
}

async function until(isSo: () => boolean): Promise<void> {
  while (!isSo()) await setTimeout(10);
}

test("[storage 3] of eight writers in two processes a puller misses no place and no entry", async () => {
  const url = await cluster.createDatabase();
  const storages = [await openStorage(url), await openStorage(url)];
  const [first, second] = storages as [RecordStorage, RecordStorage];
  await putRun(first);
  expect(second.epoch).toBe(first.epoch);
  const writers = Array.from({ length: 8 }, (_, index) =>
    writeOn(index % 2 === 0 ? first : second, `writer-${index}` as DeviceId),
  );
  const followed: Listed[] = [];
  const follow = async () => {
    const { listed } = await second.readListed(run, followed.at(-1)?.place ?? 0, 7);
    followed.push(...listed);
    return listed.length;
  };
  while (writers.some(({ acknowledged }) => acknowledged() < 40)) await follow();
  await Promise.all(writers.map(({ stop }) => stop()));
  while ((await follow()) > 0);
  expect(followed.map(({ place }) => place)).toEqual(followed.map((_, index) => index + 1));
  const written = writers.reduce((sum, { acknowledged }) => sum + acknowledged(), 0);
  expect(entriesOf(followed)).toHaveLength(written);
  expect(writers.flatMap(({ failures }) => failures)).toEqual([]);
});

test("[storage 1] [postgres 2] connections that the server cuts lose nothing that was acknowledged", async () => {
  const url = await cluster.createDatabase();
  const storage = await openStorage(url);
  await putRun(storage);
  const client = await openClient(url);
  const writers = ["a", "b", "c", "d"].map((name) => writeOn(storage, name as DeviceId));
  let cut = 0;
  for (let round = 1; round <= 10; round += 1) {
    await until(() => writers.every(({ acknowledged }) => acknowledged() >= 4 * round));
    const { rowCount } = await client.query(
      `SELECT pg_terminate_backend(pid) FROM pg_stat_activity
       WHERE application_name = 'lanehold' AND datname = current_database()`,
    );
    cut += rowCount ?? 0;
  }
  await Promise.all(writers.map(({ stop }) => stop()));
  expect(cut).toBeGreaterThanOrEqual(10);
  await expectAcknowledged(storage, ["a", "b", "c", "d"], writers);
  const failures = writers.flatMap((writer) => writer.failures);
  expect(failures.every((cause) => cause instanceof StorageFailedError)).toBe(true);
});

test("[storage 1] [postgres 1] a server that is killed under load has everything that was acknowledged", async () => {
  const url = await cluster.createDatabase();
  const storage = await openStorage(url);
  await putRun(storage);
  const names = ["a", "b", "c"];
  const writers = names.map((name) => writeOn(storage, name as DeviceId));
  for (let round = 1; round <= 3; round += 1) {
    const before = writers.map(({ acknowledged }) => acknowledged());
    await until(() =>
      writers.every((one, index) => one.acknowledged() >= (before[index] ?? 0) + 10),
    );
    await cluster.kill();
    const atKill = writers.map(({ acknowledged }) => acknowledged());
    await cluster.start();
    const fresh = await openStorage(url);
    const have = await fresh.readHave(run);
    for (const [index, name] of names.entries()) {
      expect(have[name as DeviceId] ?? 0, `round ${round}`).toBeGreaterThanOrEqual(
        atKill[index] ?? 0,
      );
    }
  }
  await Promise.all(writers.map(({ stop }) => stop()));
  expect(writers.flatMap(({ failures }) => failures).length).toBeGreaterThan(0);
  await expectAcknowledged(storage, names, writers);
});

async function expectAcknowledged(
  storage: RecordStorage,
  names: readonly string[],
  writers: readonly { readonly acknowledged: () => number }[],
): Promise<void> {
  const acknowledged = writers.map((one, index) => [names[index], one.acknowledged()]);
  expect(await storage.readHave(run)).toEqual(Object.fromEntries(acknowledged));
  const { listed } = await storage.readListed(run, 0, 1_000_000);
  expect(listed.map(({ place }) => place)).toEqual(listed.map((_, index) => index + 1));
  const total = writers.reduce((sum, one) => sum + one.acknowledged(), 0);
  expect(entriesOf(listed)).toHaveLength(total);
}

test("[postgres 3] a process that hangs keeps nobody from a run for long, and from others not at all", async () => {
  const url = await cluster.createDatabase();
  const storage = await openStorage(url);
  await putRun(storage);
  const other = "run-2" as RunId;
  await storage.openRun({ ...opening, run: other, recovery: null });
  const hanging = await openClient(url);
  await hanging.query("BEGIN");
  await hanging.query("SELECT 1 FROM runs WHERE run = $1 FOR UPDATE", [run]);
  const kept = storage.takeSegment(incoming(chain({ run, device: tablet }, notes(1))), 1);
  kept.catch(() => undefined);
  const free = incoming(chain({ run: other, device: tablet }, notes(1)));
  expect(await storage.takeSegment(free, 1)).toEqual({ taken: 1, refused: null });
  await expect(kept).rejects.toThrow(StorageFailedError);
  await hanging.query("ROLLBACK");
  const again = incoming(chain({ run, device: tablet }, notes(1)));
  expect(await storage.takeSegment(again, 1)).toEqual({ taken: 1, refused: null });
});

test("[postgres 1] a commit waits for the disk, whatever the database's own setting", async () => {
  const url = await cluster.createDatabase();
  const client = await openClient(url);
  const name = new URL(url).pathname.slice(1);
  await client.query(`ALTER DATABASE ${name} SET synchronous_commit = off`);
  const storage = await openStorage(url);
  await putRun(storage);
  // Each of the storage's commits notes here what it waits for.
  await client.query(`
    CREATE TABLE seen (setting text);
    CREATE FUNCTION see() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
      INSERT INTO seen VALUES (current_setting('synchronous_commit')); RETURN NULL; END $$;
    CREATE TRIGGER see AFTER INSERT ON listed EXECUTE FUNCTION see()`);
  await storage.takeSegment(incoming(chain({ run, device: tablet }, notes(1))), 1);
  const { rows } = await client.query("SELECT setting FROM seen");
  expect(rows).toEqual([{ setting: "on" }]);
});

test("[postgres 4] of many that start at once on an empty database, one makes the tables", async () => {
  const url = await cluster.createDatabase();
  const storages = await Promise.all(Array.from({ length: 6 }, () => openStorage(url)));
  expect(new Set(storages.map(({ epoch }) => epoch)).size).toBe(1);
});

test("[hub-file 1] a database of a newer version is refused", async () => {
  const url = await cluster.createDatabase();
  await openStorage(url);
  const client = await openClient(url);
  await client.query("UPDATE hub SET version = 99");
  await expect(openPostgresStorage(url)).rejects.toThrow(HubFileNewerError);
});

test("[postgres 2] a server that is not there is told as such", async () => {
  const nowhere = "postgres://postgres@%2Fno-such-folder:5432/none";
  await expect(openPostgresStorage(nowhere)).rejects.toThrow(StorageFailedError);
});

test("[postgres-wake 1] [postgres-wake 2] [postgres-wake 3] another process hears what was taken, also after its line broke", async () => {
  const url = await cluster.createDatabase();
  const [writer, hearer] = [await openStorage(url), await openStorage(url)];
  await putRun(writer);
  const heard: RunId[] = [];
  const own: RunId[] = [];
  writer.watch((one) => own.push(one));
  const stop = hearer.watch((one) => heard.push(one));
  const client = await openClient(url);
  const listens = `SELECT pid FROM pg_stat_activity
    WHERE query LIKE 'LISTEN%' AND datname = current_database()`;
  const untilBothListen = async () => {
    while ((await client.query(listens)).rowCount !== 2) await setTimeout(10);
  };
  const entries = chain({ run, device: tablet }, notes(2));
  await untilBothListen();
  await writer.takeSegment(incoming(entries.slice(0, 1)), 1);
  await until(() => heard.length > 0);
  await client.query(`SELECT pg_terminate_backend(pid) FROM (${listens}) AS lines`);
  await untilBothListen();
  heard.length = 0;
  await writer.takeSegment(incoming(entries.slice(1)), 1);
  await until(() => heard.length > 0);
  expect(new Set(heard)).toEqual(new Set([run]));
  expect(own).toEqual([]);
  stop();
});
