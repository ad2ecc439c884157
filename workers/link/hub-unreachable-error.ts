import { OperationError } from "../keys/operation-error.ts";

/** The hub did not answer: no network, no hub, or no answer in time. */
export class HubUnreachableError extends OperationError {
  override readonly name = "HubUnreachableError";
  override readonly mend = "Go where there is network, see that the hub runs, then do it again.";

  constructor(options?: ErrorOptions) {
    super("The hub cannot be reached from here.", options);
  }
}
