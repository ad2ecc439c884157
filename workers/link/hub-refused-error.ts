import type { Refusal } from "../../machines/sync/refusal.ts";
import { OperationError } from "../keys/operation-error.ts";

/** The hub answered and refused; its own sentences are the error's. */
export class HubRefusedError extends OperationError {
  override readonly name = "HubRefusedError";
  override readonly mend: string;
  /** HTTP status. */
  readonly status: number;
  readonly refusal: Refusal;
  /** The hub asks to wait so long, milliseconds; 0: it does not say. */
  readonly waitMs: number;

  constructor(status: number, refusal: Refusal, waitMs: number) {
    super(refusal.says);
    this.mend = refusal.mend;
    this.status = status;
    this.refusal = refusal;
    this.waitMs = waitMs;
  }
}
