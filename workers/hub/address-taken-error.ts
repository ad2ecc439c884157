import { OperationError } from "../keys/operation-error.ts";

/** The hub cannot listen at the address it was told. */
export class AddressTakenError extends OperationError {
  override readonly name = "AddressTakenError";
  readonly mend = "End the other program, or choose another port: --port 0 takes any that is free.";
  readonly host: string;
  readonly port: number;

  constructor({ host, port }: { host: string; port: number }, cause: Error) {
    super(`The hub cannot listen at ${host}, port ${port}: ${cause.message}.`, { cause });
    this.host = host;
    this.port = port;
  }
}
