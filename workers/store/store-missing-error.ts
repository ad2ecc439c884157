import { OperationError } from "../keys/operation-error.ts";

/** The browser offers no database: a private window, or storage that is switched off. */
export class StoreMissingError extends OperationError {
  override readonly name = "StoreMissingError";
  override readonly mend = "Open the app in an ordinary window, not a private one.";

  constructor(options?: ErrorOptions) {
    super("This browser keeps nothing on this device here, so nothing was stored.", options);
  }
}
