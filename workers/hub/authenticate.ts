// Who asks: the device of a run that shows its token.
//
// [authenticate 1] A request about a run is answered only to a device that was let into that very run.
// [authenticate 2] Every request that shows a right token is noted as the device's last word.
// [authenticate 3] A device that was struck off may send what it holds, and is answered nothing else.

import type { RunId } from "../../machines/record/ids.ts";
import type { OpenRequest } from "../../machines/sync/open.ts";
import { deviceIdOfKey, pointOfKey } from "../keys/device-id.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import { verifyText } from "../keys/verify-text.ts";
import { refuse } from "./answer.ts";
import type { RefusalOf } from "./answer.ts";
import { clientAddress } from "./hub.ts";
import type { Hub, HubContext } from "./hub.ts";
import type { StoredDevice } from "./storage/record-storage.ts";

/**
 * The device that asks about the run in the path, or the refusal to answer with.
 *
 * Errors: those of the storage.
 */
export async function authenticate(hub: Hub, c: HubContext): Promise<StoredDevice | Response> {
  const run = (c.req.param("run") ?? "") as RunId;
  const token = /^Bearer ([A-Za-z0-9_-]{43})$/i.exec(c.req.header("authorization") ?? "")?.[1];
  const device =
    token === undefined
      ? null
      : await hub.storage.hearDevice(run, sha256Hex(token), hub.clock.nowMs());
  if (device === null) {
    if ((await hub.storage.readRun(run)) === null) return refuse(c, runUnknown);
    if (token === undefined) return refuse(c, tokenMissing);
    return limitAddress(hub, c) ?? refuse(c, tokenWrong);
  }
  const waitSeconds = hub.limits.byDevice.take(`${run} ${device.device}`);
  return waitSeconds > 0 ? refuse(c, rateLimited(waitSeconds)) : device;
}

/** As `authenticate`, but a device that was struck off is refused. Errors: those of the storage. */
export async function authenticateMember(
  hub: Hub,
  c: HubContext,
): Promise<StoredDevice | Response> {
  const device = await authenticate(hub, c);
  return device instanceof Response || !device.isStruckOff ? device : refuse(c, struckOff);
}

/** Whether a device's id is its key's fingerprint and the proof its signature over the text. */
export async function isProven(
  { device, key, proof }: Pick<OpenRequest, "device" | "key" | "proof">,
  text: string,
): Promise<boolean> {
  if (pointOfKey(key) === null || deviceIdOfKey(key) !== device) return false;
  return await verifyText(key, text, proof);
}

/** Counts a request that shows no right token; the refusal if there were too many from its address. */
export function limitAddress(hub: Hub, c: HubContext): Response | null {
  const waitSeconds = hub.limits.byAddress.take(clientAddress(c));
  return waitSeconds > 0 ? refuse(c, rateLimited(waitSeconds)) : null;
}

/** The refusal of a request that came too soon. */
export function rateLimited(waitSeconds: number): RefusalOf {
  return {
    status: 429,
    code: "rate-limited",
    says: "This device asks more often than the hub answers.",
    mend: `It may ask again in ${waitSeconds} s.`,
    headers: { "retry-after": String(waitSeconds) },
  };
}

/** The refusal of what only a director's device may ask for. */
export const roleWrong: RefusalOf = {
  status: 403,
  code: "role-wrong",
  says: "Only a director's device may ask for this.",
  mend: "Ask the test director.",
};

/** The refusal of a device that did not prove that it has the key of its id. */
export const proofWrong: RefusalOf = {
  status: 401,
  code: "proof-wrong",
  says: "This device did not prove that it has the key that its id names.",
  mend: "Bring the app on this device up to date, or clear its data and begin anew.",
};

const struckOff: RefusalOf = {
  status: 403,
  code: "struck-off",
  says: "A director has struck this device off the run.",
  mend: "What it holds can still be sent. Ask the test director whether it shall join again.",
};

const runUnknown: RefusalOf = {
  status: 404,
  code: "run-unknown",
  says: "This hub has no such run.",
  mend: "Look whether this is the hub where the run was opened.",
};

const tokenMissing: RefusalOf = {
  status: 401,
  code: "token-missing",
  says: "This device did not say who it is.",
  mend: "Join the run with a code.",
  headers: { "www-authenticate": 'Bearer realm="lanehold"' },
};

const tokenWrong: RefusalOf = {
  status: 401,
  code: "token-wrong",
  says: "This device is not in this run, or is no longer what it was when it joined.",
  mend: "Ask the test director for a new code and join again.",
  headers: { "www-authenticate": 'Bearer realm="lanehold", error="invalid_token"' },
};
