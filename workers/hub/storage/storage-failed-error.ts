import { OperationError } from "../../keys/operation-error.ts";

/** The database refused or failed: a full or broken disk, a file that is locked or damaged. */
export class StorageFailedError extends OperationError {
  override readonly name = "StorageFailedError";
  readonly mend = "Look at the disk of the hub: is it full, broken or read-only?";

  constructor(cause: Error) {
    super(`The hub's database failed: ${cause.message}.`, { cause });
  }
}
