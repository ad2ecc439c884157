import { OperationError } from "../keys/operation-error.ts";

/** The database failed in another way; `cause` says how. */
export class StoreFailedError extends OperationError {
  override readonly name = "StoreFailedError";
  override readonly mend = "Do it again; if it fails again, reload this window.";

  constructor(options?: ErrorOptions) {
    super("The store on this device failed, so nothing was stored.", options);
  }
}
