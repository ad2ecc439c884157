import { OperationError } from "../../keys/operation-error.ts";

/** The hub's file cannot be opened, or is no file of the hub's. */
export class HubFileUnreadableError extends OperationError {
  override readonly name = "HubFileUnreadableError";
  readonly mend = "Look whether the folder exists and may be written, or point to another one.";
  readonly path: string;

  constructor(path: string, cause: unknown) {
    const because = cause instanceof Error ? cause.message : String(cause);
    super(`The hub's file ${path} could not be opened: ${because}.`, { cause });
    this.path = path;
  }
}
