import { OperationError } from "../keys/operation-error.ts";

/** A transaction has neither finished nor failed within its time; it may still be kept. */
export class StoreStalledError extends OperationError {
  override readonly name = "StoreStalledError";
  override readonly mend =
    "Reload this window and look whether it was kept before you do it again.";

  constructor(options?: ErrorOptions) {
    super("The store on this device does not answer.", options);
  }
}
