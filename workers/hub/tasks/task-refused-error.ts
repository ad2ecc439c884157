import { OperationError } from "../../keys/operation-error.ts";

/** A task was not begun, or was given up: what it was asked for cannot be done. Nothing was changed. */
export class TaskRefusedError extends OperationError {
  override readonly name = "TaskRefusedError";
  readonly mend: string;

  constructor(says: string, { mend, cause }: { mend: string; cause?: unknown }) {
    super(says, { cause });
    this.mend = mend;
  }
}
