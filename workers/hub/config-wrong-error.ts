import { OperationError } from "../keys/operation-error.ts";

/** The hub was started with settings that cannot be meant so. */
export class ConfigWrongError extends OperationError {
  override readonly name = "ConfigWrongError";
  readonly mend = "Mend the flag or the variable of the environment, and start the hub again.";
  /** A sentence for each setting that is wrong. */
  readonly wrong: readonly string[];

  constructor(wrong: readonly string[]) {
    super(`The hub's settings are wrong. ${wrong.join(" ")}`);
    this.wrong = wrong;
  }
}
