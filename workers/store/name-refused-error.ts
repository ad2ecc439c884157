import { OperationError } from "../keys/operation-error.ts";

/** A name or title that a person typed is empty or too long. */
export class NameRefusedError extends OperationError {
  override readonly name = "NameRefusedError";
  override readonly mend: string;

  constructor(what: string, charactersMax: number) {
    super(`${what} is empty or too long.`);
    this.mend = `Type between 1 and ${charactersMax} characters.`;
  }
}
