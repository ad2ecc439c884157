import { OperationError } from "../keys/operation-error.ts";

/** A run that was asked for is not on this device. */
export class RunMissingError extends OperationError {
  override readonly name = "RunMissingError";
  override readonly mend = "Go to the shelf and join the run by its code.";

  constructor() {
    super("This run is not on this device.");
  }
}
