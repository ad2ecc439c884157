// Joining a run by the code that a director gave.
//
// [join 1] The token is stored before the code is used: if the answer is lost, typing the code again
//   on this device gets the same answer, though the code is used up.

import { plainJoinCode } from "../../machines/sync/join-code.ts";
import type { JoinAnswer } from "../../machines/sync/join.ts";
import type { RunId } from "../../machines/record/ids.ts";
import { createToken } from "../../workers/keys/random-token.ts";
import { askJoin, askProcedure } from "../../workers/link/hub-requests.ts";
import { storeJoinedRun } from "../../workers/store/join-run.ts";
import { readDevice } from "../../workers/store/this-device.ts";
import { writeDurably } from "../../workers/store/write-durably.ts";
import { writeProcedure } from "../../workers/store/write-procedure.ts";
import type { LiveStore } from "./live-store.ts";
import { wakeSync } from "./wake-sync.ts";

const settingName = "join-under-way";
type JoinUnderWay = { readonly code: string; readonly token: string };

/**
 * Joins a run and gets its procedure.
 *
 * Errors: `HubUnreachableError`, `HubRefusedError` (an unknown, used or expired code),
 *   `HubGarbledError`, and the store's.
 */
export async function joinRunByCode(store: LiveStore, typed: string): Promise<RunId> {
  const { database, door } = store;
  const code = plainJoinCode(typed);
  const token = await tokenFor(store, code);
  const { device, name: deviceName } = await readDevice(database, store.readWallMs());
  const answer: JoinAnswer = await askJoin(door, { code, device, deviceName, token });
  await storeJoinedRun(database, answer, token, store.readWallMs());
  if ((await database.procedures.get(answer.procedure)) === undefined) {
    const procedure = await askProcedure(door, answer.procedure, token);
    await writeProcedure(database, procedure, store.readWallMs());
  }
  wakeSync(store, answer.run);
  return answer.run;
}

async function tokenFor(store: LiveStore, code: string): Promise<string> {
  const { settings } = store.database;
  return writeDurably(store.database, [settings], async () => {
    const value = (await settings.get(settingName))?.value as JoinUnderWay | undefined;
    if (value?.code === code) return value.token;
    const underWay: JoinUnderWay = { code, token: createToken() };
    await settings.put({ name: settingName, value: underWay });
    return underWay.token;
  });
}
