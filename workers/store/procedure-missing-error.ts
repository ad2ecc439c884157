import { OperationError } from "../keys/operation-error.ts";

/** A run is here, but its procedure has not reached this device. */
export class ProcedureMissingError extends OperationError {
  override readonly name = "ProcedureMissingError";
  override readonly mend =
    "Go where the hub can be reached, wait a few seconds, then open it again.";

  constructor() {
    super("The procedure of this run has not reached this device yet.");
  }
}
