// From a text to a procedure: the only way.
//
// [read-procedure 1] A procedure comes out only if nothing is wrong; then every reference in it
//   holds.
// [read-procedure 2] All faults come out at once, each with its place, what is wrong and what would
//   mend it; only a text that `readDocument` refuses whole has just that one.
// [read-procedure 3] No text makes it throw.
// [read-procedure 4] It says nothing on whether the plan can be carried out: cycles through lanes,
//   order and meets, custody of items, tethers and contention are findings of the plan check.

import { findDocumentParts } from "./document-parts.ts";
import type { Fault } from "./fault.ts";
import { procedureFaults } from "./procedure-faults.ts";
import { procedureShape } from "./procedure-shape.ts";
import { procedureFormat, procedureFormatVersion } from "./procedure.ts";
import type { Procedure } from "./procedure.ts";
import { readDocument } from "./read-document.ts";

/** A procedure without faults, or every fault of the text. */
export type ProcedureReading =
  | { readonly procedure: Procedure; readonly faults: readonly [] }
  | { readonly procedure: null; readonly faults: readonly Fault[] };

/**
 * Reads the text of a procedure document.
 *
 * Errors: none; faults are in the result.
 */
export function readProcedure(text: string): ProcedureReading {
  const { document, faults: refusal } = readDocument(text, procedureFormat, procedureFormatVersion);
  if (document === null) return { procedure: null, faults: refusal };
  const shapeFaults: Fault[] = [];
  const procedure = procedureShape(document, "", shapeFaults) ? document : null;
  const otherFaults = procedureFaults(document, findDocumentParts(document, shapeFaults));
  if (procedure !== null && otherFaults.length === 0) return { procedure, faults: [] };
  return { procedure: null, faults: [...shapeFaults, ...otherFaults] };
}
