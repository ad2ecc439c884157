// The hub of a simulation: the product's own, on a storage that can be backed up and put back.

import { copyFileSync, existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import type { Hono } from "hono";
import type { SeededRandom } from "../../machines/base/seeded-random.ts";
import { createEventStreams } from "../../workers/hub/event-streams.ts";
import type { HubEnv } from "../../workers/hub/hub.ts";
import { createLimits } from "../../workers/hub/limits.ts";
import { createLog } from "../../workers/hub/log.ts";
import { createMetrics } from "../../workers/hub/metrics.ts";
import { createHubApp } from "../../workers/hub/server.ts";
import { createStanding } from "../../workers/hub/standing.ts";
import { createMemoryStorage } from "../../workers/hub/storage/memory-storage.ts";
import type { RecordStorage } from "../../workers/hub/storage/record-storage.ts";
import { StorageFailedError } from "../../workers/hub/storage/storage-failed-error.ts";
import { openSqliteStorage } from "../../workers/hub/storage/sqlite-storage.ts";
import type { HandClock } from "../unit/workers/hub/hand-clock.ts";
import type { Answer, Request } from "./network.ts";

/** A hub that can be stopped, started, backed up and put back. */
export type SimulatedHub = {
  readonly isUp: () => boolean;
  readonly storage: () => RecordStorage;
  /** Null: it is down. */
  readonly ask: (request: Request) => Promise<Answer | null>;
  readonly stop: () => Promise<void>;
  readonly start: () => Promise<void>;
  readonly backUp: () => Promise<void>;
  readonly backups: () => number;
  /** Puts back the backup of that number, from 0, under a new epoch, and forgets the later ones. */
  readonly restore: (backup: number) => Promise<void>;
  /** So many more writes fit on its disk; null: as many as come. */
  readonly leaveRoom: (writes: number | null) => void;
  readonly isFull: () => boolean;
  /** What the hub had to say to its operator about its own failures, a full disk aside. */
  readonly failures: readonly string[];
  readonly end: () => Promise<void>;
};

/** What a hub is made of. */
export type HubSort = {
  readonly storage: "memory" | "sqlite";
  /** Servers on the one storage; each request goes to one of them. */
  readonly servers: number;
  /** A pull brings so many entries at the most; null: as many as the product has it. */
  readonly pageEntries: number | null;
};

/** A hub that is up and empty. */
export async function createSimulatedHub(
  sort: HubSort,
  clock: HandClock,
  random: SeededRandom,
): Promise<SimulatedHub> {
  const shelf = sort.storage === "memory" ? memoryShelf() : sqliteShelf();
  const failures: string[] = [];
  const room: Room = { writesLeft: null };
  const tell = (line: string): void => {
    if (!line.includes(diskFull) && !line.includes('"storage-failed"')) failures.push(line);
  };
  let up: Up | null = null;
  const start = async (): Promise<void> => {
    const storage = await shelf.open();
    const bounded = withBounds(storage, sort.pageEntries, room);
    const apps = Array.from({ length: sort.servers }, () =>
      createHubApp({
        storage: bounded,
        clock,
        streams: createEventStreams(clock),
        limits: createLimits(clock),
        metrics: createMetrics(),
        standing: createStanding(),
        log: createLog("error", clock, tell),
        appFolder: "nowhere",
        invitationMs: invitationMs,
        randomBelow: random.nextBelow,
      }),
    );
    up = { storage, apps };
  };
  const stop = async (): Promise<void> => {
    await up?.storage.close();
    up = null;
  };
  await start();
  return {
    failures,
    isUp: () => up !== null,
    storage() {
      if (up === null) throw new Error("The hub is down.");
      return up.storage;
    },
    ask: async (request) => {
      if (up === null) return null;
      return answerOf(up.apps[random.nextBelow(up.apps.length)] as Hono<HubEnv>, request);
    },
    start,
    stop,
    backUp: shelf.backUp,
    backups: shelf.backups,
    leaveRoom(writes) {
      room.writesLeft = writes;
    },
    isFull: () => room.writesLeft !== null,
    async restore(backup) {
      await stop();
      shelf.restore(backup);
      await start();
    },
    async end() {
      await stop();
      shelf.clear();
    },
  };
}

/** An invitation is good for so long. */
export const invitationMs = 600_000;

type Up = { readonly storage: RecordStorage; readonly apps: readonly Hono<HubEnv>[] };

type Room = { writesLeft: number | null };

const diskFull = "the simulated disk is full";

// A storage that brings small pages and has a disk that can be full.
function withBounds(storage: RecordStorage, pageEntries: number | null, room: Room): RecordStorage {
  return new Proxy(storage, {
    get(target, name) {
      const member: unknown = Reflect.get(target, name);
      if (typeof member !== "function") return member;
      return async (...args: readonly unknown[]) => {
        if (changingCalls.has(String(name)) && room.writesLeft !== null) {
          if (room.writesLeft === 0) throw new StorageFailedError(new Error(diskFull));
          room.writesLeft -= 1;
        }
        const [run, after, most] = args as Parameters<RecordStorage["readListed"]>;
        const bounded =
          name === "readListed" ? [run, after, Math.min(most, pageEntries ?? most)] : args;
        return doCall(target, String(name), bounded);
      };
    },
  });
}

async function answerOf(app: Hono<HubEnv>, request: Request): Promise<Answer> {
  const { method, headers, path, body } = request;
  const withoutSocket = {};
  const response = await app.request(path, { method, headers, body }, withoutSocket);
  return {
    status: response.status,
    headers: Object.fromEntries(response.headers),
    body: new Uint8Array(await response.arrayBuffer()),
  };
}

type Shelf = {
  readonly open: () => Promise<RecordStorage>;
  readonly backUp: () => Promise<void>;
  readonly backups: () => number;
  readonly restore: (backup: number) => void;
  readonly clear: () => void;
};

const changingCalls: ReadonlySet<string> = new Set([
  "putProcedure",
  "putInjectScript",
  "openRun",
  "invite",
  "join",
  "takeSegment",
  "setAside",
]);

type Call = { readonly name: string; readonly args: readonly unknown[] };

// A storage in memory is put back by doing again what had been done to it.
function memoryShelf(): Shelf {
  let calls: Call[] = [];
  let lengths: number[] = [];
  let epochs = 0;
  return {
    async open() {
      const storage = createMemoryStorage(`epoch ${epochs} of a hub in memory`);
      for (const { name, args } of calls) await doCall(storage, name, args);
      return new Proxy(storage, {
        get(target, name) {
          const member: unknown = Reflect.get(target, name);
          if (typeof name !== "string" || !changingCalls.has(name)) return member;
          return async (...args: readonly unknown[]) => {
            calls.push({ name, args });
            return doCall(target, name, args);
          };
        },
      });
    },
    async backUp() {
      lengths.push(calls.length);
    },
    backups: () => lengths.length,
    restore(backup) {
      epochs += 1;
      calls = calls.slice(0, lengths[backup]);
      lengths = lengths.slice(0, backup + 1);
    },
    clear: () => undefined,
  };
}

async function doCall(
  storage: RecordStorage,
  name: string,
  args: readonly unknown[],
): Promise<unknown> {
  const member = Reflect.get(storage, name) as (...args: readonly unknown[]) => Promise<unknown>;
  return member.call(storage, ...args);
}

// In memory, where the machine has such a folder: a simulated hub need not outlive the machine.
const folderOfFiles = existsSync("/dev/shm") ? "/dev/shm" : tmpdir();

function sqliteShelf(): Shelf {
  const folder = mkdtempSync(join(folderOfFiles, "lanehold-simulation-"));
  let files = 1;
  let path = join(folder, "hub-1.sqlite");
  let copies: string[] = [];
  return {
    open: () => Promise.resolve(openSqliteStorage(path)),
    async backUp() {
      files += 1;
      const copy = join(folder, `backup-${files}.sqlite`);
      const file = new Database(path);
      file.exec(`VACUUM INTO '${copy}'`);
      file.close();
      copies.push(copy);
    },
    backups: () => copies.length,
    restore(backup) {
      files += 1;
      path = join(folder, `hub-${files}.sqlite`);
      copyFileSync(copies[backup] as string, path);
      const file = new Database(path);
      // A storage that was put back is another one: [storage 12].
      file.prepare("UPDATE hub SET epoch = ?").run(`epoch ${files} of a hub in a file`);
      file.close();
      copies = copies.slice(0, backup + 1);
    },
    clear: () => rmSync(folder, { recursive: true }),
  };
}
