import { OperationError } from "../keys/operation-error.ts";

/** The hub answered a scanned code with another run than the one that the QR names. */
export class OtherRunError extends OperationError {
  override readonly name = "OtherRunError";
  override readonly mend =
    "Nothing of it was kept. Scan a new code from the director’s own screen; " +
    "if it happens again, tell whoever runs the hub.";

  constructor() {
    super("The hub answered with another run than the code was made for.");
  }
}
