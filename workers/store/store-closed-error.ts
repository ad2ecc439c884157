import { OperationError } from "../keys/operation-error.ts";

/** The connection is closed: a newer version of the app in another window took over the database, or it was deleted. */
export class StoreClosedError extends OperationError {
  override readonly name = "StoreClosedError";
  override readonly mend = "Reload this window, then do it again.";

  constructor(options?: ErrorOptions) {
    super("This window's store was closed, so nothing was stored.", options);
  }
}
