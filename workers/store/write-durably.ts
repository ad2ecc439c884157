// The one way to write: an explicit transaction that is flushed before it counts, with the errors of
// the platform turned into our own.
//
// [write-durably 1] The promise resolves only after the transaction's `complete` event.
// [write-durably 2] When it rejects, nothing of the work is stored; the one exception is
//   `StoreStalledError`, which says that it is not known.
// [write-durably 3] It rejects with subclasses of `OperationError` for what the platform did, and
//   with our own mistakes unchanged.

import type { Table, Transaction } from "dexie";
import { OperationError } from "../keys/operation-error.ts";
import type { Database } from "./database.ts";
import { isTakenOver } from "./database.ts";
import { QuotaExceededError } from "./quota-exceeded-error.ts";
import { StoreClosedError } from "./store-closed-error.ts";
import { StoreFailedError } from "./store-failed-error.ts";
import { StoreMissingError } from "./store-missing-error.ts";
import { StoreStalledError } from "./store-stalled-error.ts";
import { UpgradeBlockedError } from "./upgrade-blocked-error.ts";

/** A write that has not finished by then is reported as stalled. */
const writeMsMax = 15_000;

/**
 * Runs the work in one read-write transaction over the tables.
 *
 * @param work may be run twice, if the browser lost its connection to the database before the first
 *   time was done; it must await nothing but the database
 * Errors: `QuotaExceededError`, `UpgradeBlockedError`, `StoreClosedError`, `StoreMissingError`,
 *   `StoreFailedError`, `StoreStalledError`.
 */
export async function writeDurably<Result>(
  database: Database,
  tables: readonly Table[],
  work: () => Promise<Result>,
): Promise<Result> {
  await openOrFail(database);
  try {
    return await transact(database, tables, work);
  } catch (cause) {
    if (!isLostConnection(cause)) throw toOperationError(cause);
  }
  // The browser's process for databases died, as some do after sleep; a new connection works.
  database.close({ disableAutoOpen: false });
  await openOrFail(database);
  try {
    return await transact(database, tables, work);
  } catch (cause) {
    throw toOperationError(cause);
  }
}

async function transact<Result>(
  database: Database,
  tables: readonly Table[],
  work: () => Promise<Result>,
): Promise<Result> {
  let transaction: Transaction | undefined;
  // Dexie keeps a transaction open over awaits only if it is given an async function.
  const written = database.transaction("rw", tables, async (begun) => {
    transaction = begun;
    return work();
  });
  try {
    return await beforeStall(written);
  } catch (cause) {
    // A full disk aborts the transaction, and a request under way then only says that it was aborted.
    const reason = transaction?.idbtrans?.error;
    throw reason?.name === "QuotaExceededError" ? reason : cause;
  }
}

/**
 * Opens the database, if it is not open, and turns what keeps it from opening into our own errors.
 *
 * Errors: `UpgradeBlockedError`, `StoreMissingError`, `StoreClosedError`, `StoreFailedError`.
 */
export async function openOrFail(database: Database): Promise<void> {
  // Old code must not write into tables that newer code has changed.
  if (isTakenOver(database)) throw new StoreClosedError();
  if (database.isOpen()) return;
  const onBlocked = new AbortController();
  const tellBlocked = (): void => onBlocked.abort();
  const blocked = new Promise<never>((_, reject) => {
    onBlocked.signal.addEventListener("abort", () => reject(new UpgradeBlockedError()));
  });
  database.on("blocked", tellBlocked);
  try {
    await Promise.race([database.open(), blocked]);
  } catch (cause) {
    throw toOperationError(cause);
  } finally {
    database.on("blocked").unsubscribe(tellBlocked);
  }
}

/** Our own error for what the database rejected with; an error that is not the platform's stays as it is. */
export function toOperationError(cause: unknown): unknown {
  if (cause instanceof OperationError) return cause;
  const names = namesInside(cause);
  if (names.includes("QuotaExceededError")) return new QuotaExceededError({ cause });
  if (names.includes("MissingAPIError")) return new StoreMissingError({ cause });
  if (names.includes("DatabaseClosedError")) return new StoreClosedError({ cause });
  return names.some((name) => platformNames.has(name)) ? new StoreFailedError({ cause }) : cause;
}

const platformNames = new Set([
  "AbortError",
  "ConstraintError",
  "DataError",
  "InvalidStateError",
  "NotFoundError",
  "OpenFailedError",
  "TransactionInactiveError",
  "UnknownError",
  "VersionError",
]);

function isLostConnection(cause: unknown): boolean {
  const names = namesInside(cause);
  if (names.includes("QuotaExceededError")) return false;
  return names.includes("UnknownError") || names.includes("InvalidStateError");
}

// Chromium reports a full disk as an `AbortError` with the reason inside.
function namesInside(cause: unknown): readonly string[] {
  const names: string[] = [];
  let error: unknown = cause;
  while (error instanceof Error || error instanceof DOMException) {
    names.push(error.name);
    error = Reflect.get(error, "inner");
  }
  return names;
}

async function beforeStall<Result>(written: PromiseLike<Result>): Promise<Result> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const stalled = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new StoreStalledError()), writeMsMax);
  });
  try {
    return await Promise.race([written, stalled]);
  } finally {
    clearTimeout(timer);
  }
}
