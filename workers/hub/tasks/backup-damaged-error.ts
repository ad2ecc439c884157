import { OperationError } from "../../keys/operation-error.ts";

/** A backup is damaged, or is none. */
export class BackupDamagedError extends OperationError {
  override readonly name = "BackupDamagedError";
  readonly mend = "Take another backup; the devices push again what an older one lacks.";
  readonly path: string;

  constructor(path: string, because: string, cause?: unknown) {
    super(`${path} cannot be used as a hub's file: ${because}.`, { cause });
    this.path = path;
  }
}
