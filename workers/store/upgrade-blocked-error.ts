import { OperationError } from "../keys/operation-error.ts";

/** The database cannot be brought to this version while another window holds an older one. */
export class UpgradeBlockedError extends OperationError {
  override readonly name = "UpgradeBlockedError";
  override readonly mend = "Close every other window of this app, then reload this one.";

  constructor(options?: ErrorOptions) {
    super("Another window of this app holds an older version of the store.", options);
  }
}
