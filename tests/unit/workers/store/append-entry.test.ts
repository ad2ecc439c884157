import { Dexie } from "dexie";
import { expect, test } from "vitest";
import { entryDigest } from "../../../../machines/record/digest-entry.ts";
import { readEntry } from "../../../../machines/record/read-entry.ts";
import { sha256Hex } from "../../../../workers/keys/sha-256.ts";
import { appendEntry } from "../../../../workers/store/append-entry.ts";
import type { Database } from "../../../../workers/store/database.ts";
import { QuotaExceededError } from "../../../../workers/store/quota-exceeded-error.ts";
import { entriesOfRun, headsOfRun } from "../../../../workers/store/read-run.ts";
import { StoreClosedError } from "../../../../workers/store/store-closed-error.ts";
import { storePulled } from "../../../../workers/store/store-pulled.ts";
import {
  aChain,
  aDatabase,
  anotherWindow,
  ev1,
  me,
  note,
  other,
  pulledOf,
  otherRun,
  theRun,
  third,
} from "../../../support/a-database.ts";

function tap(database: Database, text: string, run = theRun) {
  return appendEntry(database, { run, device: me, position: ev1, body: note(text), wallMs: 5_000 });
}

async function everything(database: Database) {
  return [await database.entries.toArray(), await database.heads.toArray()];
}

test("[append-entry 1] [entry 2] [entry 3] entries are numbered from 1 and chained, and the head follows", async () => {
  const database = aDatabase();
  const entries = [await tap(database, "a"), await tap(database, "b"), await tap(database, "c")];
  expect(entries.map((entry) => entry.seq)).toEqual([1, 2, 3]);
  expect(entries.map((entry) => entry.prev)).toEqual([
    null,
    ...entries.slice(0, 2).map((entry) => entryDigest(entry, sha256Hex)),
  ]);
  expect(await entriesOfRun(database, theRun)).toEqual(entries);
  expect((await headsOfRun(database, theRun)).map((head) => [head.device, head.seq])).toEqual([
    [me, 3],
  ]);
  expect(entries.flatMap((entry) => readEntry(entry).faults)).toEqual([]);
});

test("[append-entry 1] [entry 2] runs are numbered apart", async () => {
  const database = aDatabase();
  await tap(database, "a");
  expect((await tap(database, "b", otherRun)).seq).toBe(1);
});

test("[entry 1] a mis-tap stays as it was written; its withdrawal is a further entry", async () => {
  const database = aDatabase();
  const misTap = await tap(database, "a");
  const withdrawn = { device: me, seq: misTap.seq };
  const body = { kind: "entry.withdrawn", withdrawn, reason: "mis-tap" } as const;
  const tapped = { run: theRun, device: me, position: ev1, body, wallMs: 6_000 };
  const withdrawal = await appendEntry(database, tapped);
  expect(withdrawal.seq).toBe(2);
  expect(await entriesOfRun(database, theRun)).toEqual([misTap, withdrawal]);
});

test("[append-entry 2] [entry 2] two windows that tap at once never give one seq twice", async () => {
  const database = aDatabase();
  const windows = [database, anotherWindow(database)];
  const taps = Array.from({ length: 60 }, (_, index) => tap(windows[index % 2]!, `tap ${index}`));
  const entries = await Promise.all(taps);
  expect(entries.map((entry) => entry.seq).toSorted((a, b) => a - b)).toEqual(
    Array.from({ length: 60 }, (_, index) => index + 1),
  );
  const stored = await entriesOfRun(database, theRun);
  expect(stored.slice(1).map((entry) => entry.prev)).toEqual(
    stored.slice(0, -1).map((entry) => entryDigest(entry, sha256Hex)),
  );
});

test("[append-entry 3] [entry 4] `seen` tells what is new of others, once", async () => {
  const database = aDatabase();
  await storePulled(database, pulledOf(aChain(other, ["x", "y"])));
  expect((await tap(database, "a")).seen).toEqual({ [other]: 2 });
  expect((await tap(database, "b")).seen).toEqual({});
  const news = [...aChain(other, ["x", "y", "z"]), ...aChain(third, ["t"])];
  await storePulled(database, pulledOf(news));
  expect((await tap(database, "c")).seen).toEqual({ [other]: 3, [third]: 1 });
});

// As Chromium does it: the transaction aborts, with the reason on the transaction.
function fillDisk(database: Database, table: "entries" | "heads"): () => void {
  const hook = database[table].hook("creating");
  hook.subscribe(abortForRoom);
  return () => hook.unsubscribe(abortForRoom);
}

function abortForRoom(): void {
  const native = Dexie.currentTransaction?.idbtrans;
  queueMicrotask(() => Reflect.get(native ?? {}, "_abort").call(native, "QuotaExceededError"));
}

function crash(): void {
  Dexie.currentTransaction?.abort();
}

test.each(["entries", "heads"] as const)(
  "[append-entry 1] a disk that is full when %s are written leaves nothing, and says so",
  async (table) => {
    const database = aDatabase();
    await tap(database, "before", otherRun);
    const before = await everything(database);
    const freeDisk = fillDisk(database, table);
    await expect(tap(database, "a")).rejects.toThrow(QuotaExceededError);
    expect(await everything(database)).toEqual(before);
    freeDisk();
    expect((await tap(database, "a")).seq).toBe(1);
  },
);

test("[append-entry 1] a crash between entry and head leaves neither", async () => {
  const database = aDatabase();
  await tap(database, "a");
  const before = await everything(database);
  const hook = database.heads.hook("updating");
  hook.subscribe(crash);
  await expect(tap(database, "b")).rejects.toThrow();
  hook.unsubscribe(crash);
  expect(await everything(database)).toEqual(before);
  expect((await tap(database, "b")).seq).toBe(2);
});

test("[append-entry 4] what was taken is there after the database is closed and opened again", async () => {
  const database = aDatabase();
  const entry = await tap(database, "a");
  database.close();
  const reopened = anotherWindow(database);
  expect(await entriesOfRun(reopened, theRun)).toEqual([entry]);
  expect((await tap(reopened, "b")).prev).toBe(entryDigest(entry, sha256Hex));
});

test("[write-durably 3] a window whose store was taken over by a newer one says so", async () => {
  const database = aDatabase();
  await tap(database, "a");
  const newer = await new Promise<IDBDatabase>((resolve, reject) => {
    const request = indexedDB.open(database.name, 20);
    request.addEventListener("success", () => resolve(request.result));
    request.addEventListener("error", () => reject(request.error));
  });
  await expect(tap(database, "b")).rejects.toThrow(StoreClosedError);
  newer.close();
  await expect(tap(database, "c")).rejects.toThrow(StoreClosedError);
});

test("[write-durably 2] a lost connection is opened again, and the tap is stored once", async () => {
  const database = aDatabase();
  await tap(database, "a");
  const hook = database.entries.hook("creating");
  let failures = 0;
  const lose = (): void => {
    failures += 1;
    if (failures === 1)
      throw new DOMException("Connection to Indexed Database server lost", "UnknownError");
  };
  hook.subscribe(lose);
  expect((await tap(database, "b")).seq).toBe(2);
  expect(failures).toBe(2);
  expect((await entriesOfRun(database, theRun)).map((entry) => entry.seq)).toEqual([1, 2]);
});
