import { OperationError } from "../keys/operation-error.ts";

/** The browser refused a write because the device's or the site's room is used up. */
export class QuotaExceededError extends OperationError {
  override readonly name = "QuotaExceededError";
  override readonly mend = "Free some room on this device, then do it again.";

  constructor(options?: ErrorOptions) {
    super("This device has no room left, so nothing was stored.", options);
  }
}
