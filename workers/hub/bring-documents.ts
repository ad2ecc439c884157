// Brings procedures and inject scripts into a hub's storage, as at its start.
//
// [bring-documents 1] A document with a fault is not kept; the others are, and the faults are told.

import { canonicalJson } from "../../machines/base/canonical-json.ts";
import { procedureIdentity } from "../../machines/procedure/identity.ts";
import { readInjectScript } from "../../machines/procedure/read-inject-script.ts";
import { readProcedure } from "../../machines/procedure/read-procedure.ts";
import type { Fault } from "../../machines/procedure/fault.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import { storedProcedure } from "./routes/procedures.ts";
import type { RecordStorage } from "./storage/record-storage.ts";

/** Documents as they were parsed from JSON. */
export type Documents = {
  readonly procedures: readonly unknown[];
  readonly injectScripts: readonly unknown[];
};

/**
 * Keeps what reads without a fault; what is there already stays as it is.
 *
 * @returns the faults of what was not kept
 * Errors: those of the storage.
 */
export async function bringDocuments(
  storage: RecordStorage,
  documents: Documents,
): Promise<readonly Fault[]> {
  const faultsOfAll: Fault[] = [];
  for (const document of documents.procedures) {
    const { procedure, faults } = readProcedure(JSON.stringify(document));
    if (procedure !== null) await storage.putProcedure(storedProcedure(procedure));
    faultsOfAll.push(...faults);
  }
  for (const document of documents.injectScripts) {
    const { script, faults } = readInjectScript(JSON.stringify(document));
    faultsOfAll.push(...faults);
    if (script === null) continue;
    const identity = procedureIdentity(script, sha256Hex);
    const { procedureId } = script;
    await storage.putInjectScript({ identity, procedureId, text: canonicalJson(script) });
  }
  return faultsOfAll;
}
