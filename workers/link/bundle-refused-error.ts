import type { Fault } from "../../machines/procedure/fault.ts";
import { OperationError } from "../keys/operation-error.ts";

/** A file was not read as a bundle; the faults say why, and what to do. Nothing was changed. */
export class BundleRefusedError extends OperationError {
  override readonly name = "BundleRefusedError";
  override readonly mend: string;
  readonly faults: readonly Fault[];

  constructor(faults: readonly Fault[], options?: ErrorOptions) {
    const [first] = faults;
    super(first?.says ?? "This bundle was refused.", options);
    this.mend = first?.mend ?? "Let the device that made it make it again.";
    this.faults = faults;
  }
}
