// Keeping a run that this device has joined at the hub.
//
// [join-run 1] Joining a run again loses nothing that is held of it.

import type { JoinAnswer } from "../../machines/sync/join.ts";
import type { Database, RunAtHub } from "./database.ts";
import { readLink } from "./read-run.ts";
import { writeDurably } from "./write-durably.ts";

/**
 * Stores a run that the hub has let this device into. Joining again, with another code, changes the
 * role and the token and keeps all entries.
 *
 * @param token the secret that was sent with the request to join
 * @param wallMs this device's clock, milliseconds since 1970
 * Errors: those of `writeDurably`.
 */
export async function storeJoinedRun(
  database: Database,
  answer: JoinAnswer,
  token: string,
  wallMs: number,
): Promise<RunAtHub> {
  const { run, title, procedure, role, lane } = answer;
  return writeDurably(database, [database.runs, database.links], async () => {
    const known = await database.runs.get(run);
    const opener = known?.opener ?? false;
    const storedAtMs = known?.storedAtMs ?? wallMs;
    const recoveryDoor = known?.recoveryDoor ?? null;
    const as = { run, title, procedure, role, lane };
    const joined: RunAtHub = { ...as, opener, recoveryDoor, token, storedAtMs };
    await database.runs.put(joined);
    await database.links.put({
      ...(await readLink(database, run)),
      registered: true,
      refused: null,
    });
    return joined;
  });
}
