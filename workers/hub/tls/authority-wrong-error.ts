import { OperationError } from "../../keys/operation-error.ts";

/** A local authority cannot be made, or renewed, with what was asked for or what is in the folder. */
export class AuthorityWrongError extends OperationError {
  override readonly name = "AuthorityWrongError";
  readonly mend: string;

  constructor(says: string, { mend, cause }: { mend: string; cause?: unknown }) {
    super(says, { cause });
    this.mend = mend;
  }
}
