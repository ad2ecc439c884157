import { OperationError } from "../../keys/operation-error.ts";

/** The certificate or the key that the hub was given cannot serve. */
export class CertificateWrongError extends OperationError {
  override readonly name = "CertificateWrongError";
  readonly mend =
    "Give LANEHOLD_TLS_CERT and LANEHOLD_TLS_KEY a certificate and its key, both as PEM; " +
    "npm run hub:authority makes them.";
  /** A sentence for each fault. */
  readonly wrong: readonly string[];

  constructor(wrong: readonly string[]) {
    super(`The hub's certificate cannot serve. ${wrong.join(" ")}`);
    this.wrong = wrong;
  }
}
