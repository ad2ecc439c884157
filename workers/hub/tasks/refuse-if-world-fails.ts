// What the disk and the driver throw, as sentences for the person who asked for a task.

import Database from "better-sqlite3";
import { OperationError } from "../../keys/operation-error.ts";
import { TaskRefusedError } from "./task-refused-error.ts";

/**
 * Acts; what the disk or the database throws comes out as a `TaskRefusedError` that begins with `says`.
 *
 * Errors: that, and what else `act` throws, as it is.
 */
export function refuseIfWorldFails<Value>(says: string, mend: string, act: () => Value): Value {
  try {
    return act();
  } catch (cause) {
    if (!isOfTheWorld(cause)) throw cause;
    throw new TaskRefusedError(`${says}: ${cause.message}.`, { mend, cause });
  }
}

function isOfTheWorld(cause: unknown): cause is Error {
  if (!(cause instanceof Error) || cause instanceof OperationError) return false;
  return cause instanceof Database.SqliteError || typeof Reflect.get(cause, "syscall") === "string";
}
