import { OperationError } from "../../keys/operation-error.ts";

/** The hub's file was written by a newer version of Lanehold; it was not touched. */
export class HubFileNewerError extends OperationError {
  override readonly name = "HubFileNewerError";
  readonly mend = "Start the newer Lanehold again, or point this one at another data folder.";
  readonly path: string;
  readonly fileVersion: number;
  readonly knownVersion: number;

  constructor(file: { path: string; fileVersion: number; knownVersion: number }) {
    super(
      `The hub's file ${file.path} has version ${file.fileVersion}; ` +
        `this Lanehold knows versions up to ${file.knownVersion}. Nothing was changed.`,
    );
    this.path = file.path;
    this.fileVersion = file.fileVersion;
    this.knownVersion = file.knownVersion;
  }
}
