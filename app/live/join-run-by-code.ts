// Joining a run by the code that a director gave, typed or scanned, in two parts: asking, and keeping.
//
// Definition: the run's *root* is the device that opened it; every right in the run goes back to its key.
// [join 1] The token is stored before the code is used, and is the same for every code: if the answer is
//   lost, typing the code again on this device gets the same answer, though the code is used up; and a
//   device that was let in and kept nothing, or was struck off, comes in by another code.
// [join 2] What asking brings is kept only when the person has compared the root's letters, or when the
//   code was scanned together with the run's id, which names the root itself.
// [join 3] A scanned code never lets into another run than the one that was scanned with it.

import { plainJoinCode } from "../../machines/sync/join-code.ts";
import type { JoinAnswer } from "../../machines/sync/join.ts";
import { rootOfRun } from "../../machines/record/ids.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { checkLetters } from "../../workers/keys/check-letters.ts";
import { createToken } from "../../workers/keys/random-token.ts";
import { HubGarbledError } from "../../workers/link/hub-garbled-error.ts";
import { askJoin, askProcedure } from "../../workers/link/hub-requests.ts";
import { joiningOf } from "../../workers/link/introduce-device.ts";
import { OtherRunError } from "../../workers/link/other-run-error.ts";
import { storeJoinedRun } from "../../workers/store/join-run.ts";
import { readDevice } from "../../workers/store/this-device.ts";
import { writeDurably } from "../../workers/store/write-durably.ts";
import { writeProcedure } from "../../workers/store/write-procedure.ts";
import type { LiveStore } from "./live-store.ts";
import { closeLiveRun } from "./open-live-run.ts";
import { wakeSync } from "./wake-sync.ts";

/** What the hub answered to a code; nothing of it is kept yet. */
export type AnsweredCode = {
  readonly answer: JoinAnswer;
  readonly token: string;
  /** Of the run's root, to be compared with the director's screen. */
  readonly letters: string;
};

/**
 * Asks the hub to let this device in.
 *
 * @param scanned the run that was scanned with the code; null: the code was typed
 * Errors: `HubUnreachableError`, `HubRefusedError` (an unknown, used or expired code),
 *   `HubGarbledError`, `OtherRunError`, and the store's.
 */
export async function askByCode(
  store: LiveStore,
  typed: string,
  scanned: RunId | null,
): Promise<AnsweredCode> {
  const { database, door } = store;
  const code = plainJoinCode(typed);
  const token = await tokenFor(store, scanned);
  const device = await readDevice(database);
  const answer = await askJoin(door, await joiningOf(code, device, token));
  if (scanned !== null && answer.run !== scanned) throw new OtherRunError();
  const root = rootOfRun(answer.run);
  if (root === null) throw new HubGarbledError([]);
  return { answer, token, letters: checkLetters(root) };
}

/**
 * Keeps the run that a code let into, and gets its procedure.
 *
 * Errors: as `askByCode`.
 */
export async function keepJoinedRun(
  store: LiveStore,
  { answer, token }: AnsweredCode,
): Promise<RunId> {
  const { database, door } = store;
  await storeJoinedRun(database, answer, token, store.readWallMs());
  closeLiveRun(answer.run);
  if ((await database.procedures.get(answer.procedure)) === undefined) {
    const procedure = await askProcedure(door, answer.procedure, token);
    await writeProcedure(database, procedure, store.readWallMs());
  }
  wakeSync(store, answer.run);
  return answer.run;
}

const settingName = "join-token";

// One for all runs that this device joins, since a typed code does not tell which run it is for.
async function tokenFor(store: LiveStore, scanned: RunId | null): Promise<string> {
  const { settings, runs } = store.database;
  const known = scanned === null ? undefined : await runs.get(scanned);
  if (known !== undefined && known.token !== null) return known.token;
  return writeDurably(store.database, [settings], async () => {
    const kept = (await settings.get(settingName))?.value;
    if (typeof kept === "string") return kept;
    const value = createToken();
    await settings.put({ name: settingName, value });
    return value;
  });
}
