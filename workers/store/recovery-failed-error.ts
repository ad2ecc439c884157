import { OperationError } from "../keys/operation-error.ts";
import type { Recovered } from "./recover-run.ts";

/** A recovery code opened the hub's door, but not the recovery key of the run. */
export class RecoveryFailedError extends OperationError {
  override readonly name = "RecoveryFailedError";
  override readonly mend: string;

  constructor(came: Exclude<Recovered, "recovered">) {
    super(words[came].says);
    this.mend = words[came].mend;
  }
}

const words = {
  "not-here": {
    says: "The beginning of the run has not come from the hub yet.",
    mend: "Try again with the same code on this device, while the hub is in reach.",
  },
  "code-wrong": {
    says: "The code does not open the recovery key of this run.",
    mend:
      "Look at the code again, letter by letter. If it is right, the hub has another run than " +
      "yours: tell whoever runs it.",
  },
} as const;
