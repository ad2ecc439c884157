import type { Fault } from "../../machines/procedure/fault.ts";
import { OperationError } from "../keys/operation-error.ts";

/** Something answered that is not the hub, or a hub of another version: the answer cannot be read. */
export class HubGarbledError extends OperationError {
  override readonly name = "HubGarbledError";
  override readonly mend =
    "See that this address is the hub's, and that app and hub are of one version.";
  readonly faults: readonly Fault[];

  constructor(faults: readonly Fault[], options?: ErrorOptions) {
    const first = faults[0];
    const detail = first === undefined ? "" : ` (${first.path}: ${first.says})`;
    super(`The hub's answer cannot be read${detail}.`, options);
    this.faults = faults;
  }
}
