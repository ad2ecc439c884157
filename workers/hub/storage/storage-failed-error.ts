import { OperationError } from "../../keys/operation-error.ts";

/** The database refused or failed: a full disk, a locked or damaged file, a server that is out of reach. */
export class StorageFailedError extends OperationError {
  override readonly name = "StorageFailedError";
  readonly mend =
    "Look at the hub's disk, or at its database server: is it full, broken, read-only, out of reach?";

  constructor(cause: Error) {
    super(`The hub's database failed: ${cause.message}.`, { cause });
  }
}
