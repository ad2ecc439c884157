import { OperationError } from "../keys/operation-error.ts";

/** Another process works on this data folder: a hub that runs, or a restore. */
export class DataFolderTakenError extends OperationError {
  override readonly name = "DataFolderTakenError";
  readonly mend = "Stop the hub that runs on it, or point this one at another data folder: --data.";
  readonly folder: string;

  constructor(folder: string, cause: unknown) {
    super(`A hub is running on the data folder ${folder}.`, { cause });
    this.folder = folder;
  }
}
