// Storing procedures and inject scripts.
//
// [write-procedure 1] A procedure is kept under its identity, once, as it came first.

import { procedureIdentity } from "../../machines/procedure/identity.ts";
import type { Identity } from "../../machines/procedure/ids.ts";
import type { InjectScript } from "../../machines/procedure/inject-script.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import type { Database } from "./database.ts";
import { writeDurably } from "./write-durably.ts";

/**
 * Stores a procedure that the reader has passed, under its identity. Storing it again changes nothing.
 *
 * @param wallMs this device's clock, milliseconds since 1970
 * Errors: those of `writeDurably`.
 */
export async function writeProcedure(
  database: Database,
  procedure: Procedure,
  wallMs: number,
): Promise<Identity> {
  const identity = procedureIdentity(procedure, sha256Hex);
  await writeDurably(database, [database.procedures], async () => {
    if ((await database.procedures.get(identity)) !== undefined) return;
    await database.procedures.add({ identity, procedure, storedAtMs: wallMs });
  });
  return identity;
}

/**
 * Stores a run's inject script, on a director's device.
 *
 * Errors: those of `writeDurably`.
 */
export async function writeInjectScript(
  database: Database,
  run: RunId,
  script: InjectScript,
): Promise<void> {
  await writeDurably(database, [database.injectScripts], async () => {
    await database.injectScripts.put({ run, script });
  });
}
