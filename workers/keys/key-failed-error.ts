import { OperationError } from "./operation-error.ts";

/** What was wanted of the browser's keys. */
export type KeyAct = "make" | "sign" | "verify" | "lock" | "unlock";

/** The platform refused to make or use a key. Never thrown for a signature or a code that is wrong. */
export class KeyFailedError extends OperationError {
  override readonly name = "KeyFailedError";
  override readonly mend =
    "Open the page at its https address, in a window that is not private, and do it again.";
  /** What it refused. */
  readonly act: KeyAct;

  constructor(act: KeyAct, options?: ErrorOptions) {
    super(`This browser could not ${wanted[act]}.`, options);
    this.act = act;
  }
}

const wanted: Readonly<Record<KeyAct, string>> = {
  make: "make a key for this device",
  sign: "sign with this device's key",
  verify: "check a signature",
  lock: "lock a key with a code",
  unlock: "unlock a key with a code",
};
