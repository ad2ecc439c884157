// A device's disk and power: what is committed stays, and the power can go before or after any step.
//
// Definition: a *step* is one call to IndexedDB (a read, a write), before or after it, or one
//   commit.
// The faults sit between Dexie and IndexedDB, where Dexie lets middleware in; the product's own code
// runs above them unchanged.

import { Dexie } from "dexie";
import type { DBCore, DBCoreTable, Table } from "dexie";
import { IDBFactory, IDBKeyRange } from "fake-indexeddb";
import { createDatabase } from "../../workers/store/database.ts";
import type { Database } from "../../workers/store/database.ts";

/** What of a device outlives a crash. */
export type Disk = {
  readonly factory: IDBFactory;
  /** So many writes fit on it; null: as many as come. */
  roomForWrites: number | null;
  /** The connection is lost at the write after so many more; null: it is not. */
  writesUntilLost: number | null;
  /** The same at a commit: what was written is there, but nobody hears of it. */
  commitsUntilLost: number | null;
};

/** A device's power from one start to the next crash. */
export type Power = {
  isOn: boolean;
  /** After so many steps it goes; null: it stays. */
  stepsLeft: number | null;
  /** Transactions that write and are neither committed nor aborted. */
  readonly openWrites: Set<unknown>;
};

/** An empty disk. */
export function createDisk(): Disk {
  return {
    factory: new IDBFactory(),
    roomForWrites: null,
    writesUntilLost: null,
    commitsUntilLost: null,
  };
}

/** A device's power, on. */
export function createPower(): Power {
  return { isOn: true, stepsLeft: null, openWrites: new Set() };
}

/** The device's database, as it is after a start. */
export function openOnDisk(name: string, disk: Disk, power: Power): Database {
  // Dexie takes these over when a database is made.
  Object.assign(Dexie.dependencies, { indexedDB: disk.factory, IDBKeyRange });
  const database = createDatabase(name);
  database.use({
    stack: "dbcore",
    name: "simulated disk",
    create: (core) => coreWithFaults(core, disk, power),
  });
  return database;
}

/**
 * What is in a table now, by its keys; read past the product, at no cost of steps. Nobody may change it.
 *
 * Errors: our own mistakes; a table that is not there yet is empty.
 */
export function recordsOnDisk<Table extends keyof Database>(
  disk: Disk,
  table: Table & string,
): readonly RecordOf<Table>[] {
  // A disk has one database; the names of the members are those of fake-indexeddb.
  const [raw] = (Reflect.get(disk.factory, "_databases") as Map<string, RawDatabase>).values();
  const store = raw?.rawObjectStores.get(table);
  return store === undefined
    ? []
    : Array.from(store.records.values(), ({ value }) => value as RecordOf<Table>);
}

/** All that is in the tables of a disk. */
export type DiskImage = ReadonlyMap<string, readonly unknown[]>;

/** A copy of what is on a disk. */
export function imageOf(disk: Disk, { tables }: Database): DiskImage {
  return new Map(tables.map(({ name }) => [name, recordsOnDisk(disk, name as "entries")]));
}

/** A new disk with what was on another when the image was made. */
export async function diskFromImage(name: string, image: DiskImage): Promise<Disk> {
  const disk = createDisk();
  const database = openOnDisk(name, disk, createPower());
  for (const [table, records] of image) await database.table(table).bulkPut([...records]);
  database.close();
  return disk;
}

type RecordOf<Name extends keyof Database> = Database[Name] extends Table<infer Row> ? Row : never;

type RawDatabase = {
  readonly rawObjectStores: ReadonlyMap<
    string,
    { readonly records: { readonly values: () => Iterable<{ readonly value: unknown }> } }
  >;
};

class PowerCutError extends Error {
  override readonly name = "PowerCutError";
}

function coreWithFaults(core: DBCore, disk: Disk, power: Power): DBCore {
  return {
    ...core,
    transaction(stores, mode, options) {
      if (!power.isOn) throw new PowerCutError();
      const transaction = core.transaction(stores, mode, options);
      // Nobody waits for the end of a transaction that only reads.
      if (mode === "readwrite") watchWrite(transaction as unknown as IDBTransaction, disk, power);
      return transaction;
    },
    table: (name) => tableWithFaults(core.table(name), disk, power),
  };
}

function watchWrite(transaction: IDBTransaction, disk: Disk, power: Power): void {
  power.openWrites.add(transaction);
  transaction.addEventListener("complete", () => {
    power.openWrites.delete(transaction);
    if (takeStep(power, transaction) && isDue(disk, "commitsUntilLost")) {
      disk.commitsUntilLost = null;
      sayItWasLost(transaction);
    }
  });
  transaction.addEventListener("abort", () => {
    power.openWrites.delete(transaction);
  });
}

// Instead of its end, Dexie hears that the connection was lost.
function sayItWasLost(transaction: IDBTransaction): void {
  const says = "Connection to Indexed Database server lost";
  Object.assign(transaction, {
    error: new DOMException(says, "UnknownError"),
    oncomplete: null,
  });
  transaction.onabort?.call(transaction, new Event("abort"));
}

function tableWithFaults(table: DBCoreTable, disk: Disk, power: Power): DBCoreTable {
  const inSteps = <Request extends { readonly trans: unknown }, Result>(
    call: (request: Request) => Promise<Result>,
  ) => {
    return (request: Request): Promise<Result> => {
      if (!takeStep(power, request.trans)) return rejected(new PowerCutError());
      return call(request).then((result) => {
        if (!takeStep(power, request.trans)) throw new PowerCutError();
        return result;
      });
    };
  };
  return {
    ...table,
    get: inSteps((request) => table.get(request)),
    getMany: inSteps((request) => table.getMany(request)),
    query: inSteps((request) => table.query(request)),
    count: inSteps((request) => table.count(request)),
    openCursor: inSteps((request) => table.openCursor(request)),
    mutate: inSteps((request) => {
      if (isDue(disk, "writesUntilLost")) {
        disk.writesUntilLost = null;
        const says = "Connection to Indexed Database server lost";
        return rejected(new DOMException(says, "UnknownError"));
      }
      const isFull = request.type !== "delete" && isDue(disk, "roomForWrites");
      const written = table.mutate(request);
      if (isFull) queueMicrotask(() => abortForRoom(request.trans));
      return written;
    }),
  };
}

// Within a transaction Dexie must go on with its own promises.
function rejected(cause: unknown): Promise<never> {
  return Dexie.Promise.reject(cause);
}

type Countdown = "roomForWrites" | "writesUntilLost" | "commitsUntilLost";

// Counts down; true once there is nothing left.
function isDue(disk: Disk, what: Countdown): boolean {
  const left = disk[what];
  if (left === null) return false;
  disk[what] = Math.max(0, left - 1);
  return left === 0;
}

// False: the power is off, be it since now.
function takeStep(power: Power, transaction: unknown): boolean {
  if (!power.isOn) return false;
  if (power.stepsLeft === null) return true;
  power.stepsLeft -= 1;
  if (power.stepsLeft > 0) return true;
  power.isOn = false;
  power.stepsLeft = null;
  try {
    (transaction as IDBTransaction).abort();
  } catch {
    // It was committed: the power went between the commit and whoever waits for it.
  }
  return false;
}

// As Chromium does it: the transaction aborts, with the reason on the transaction.
function abortForRoom(transaction: unknown): void {
  Reflect.get(Object(transaction), "_abort").call(transaction, "QuotaExceededError");
}
