import { OperationError } from "../keys/operation-error.ts";

/** Something has to wait because a run is under way on this device. */
export class RunOpenError extends OperationError {
  override readonly name = "RunOpenError";
  override readonly mend = "Close the run first; the new version waits.";

  constructor(title: string) {
    super(`The run "${title}" is under way on this device.`);
  }
}
