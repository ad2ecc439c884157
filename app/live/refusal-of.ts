// What to tell the person when something could not be done.

import { OperationError } from "../../workers/keys/operation-error.ts";
import { toOperationError } from "../../workers/store/write-durably.ts";
import type { TapRefusal } from "./live-run.ts";

/** The sentences for an error; for one that nobody foresaw, the error's own words, and what to do. */
export function refusalOf(thrown: unknown): TapRefusal {
  const cause = toOperationError(thrown);
  if (cause instanceof OperationError) return { says: cause.message, mend: cause.mend };
  const words = cause instanceof Error ? cause.message : String(cause);
  return {
    says: `The app made a mistake, and nothing was done: ${words}`,
    mend: "Reload this window and do it again; report it with these words.",
  };
}
