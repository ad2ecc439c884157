// POST /api/join: a device shows a code and is let in.
//
// [join-route 1] The same device with the same token gets the same answer as often as it asks.
// [join-route 3] Only who has the key that its id names is let in under it.
// [join-route 2] After too many codes that let nobody in, the address must wait.

import { joiningText, readJoinRequest } from "../../../machines/sync/join.ts";
import { plainJoinCode } from "../../../machines/sync/join-code.ts";
import { sha256Hex } from "../../keys/sha-256.ts";
import { answerJson, refuse } from "../answer.ts";
import type { RefusalOf } from "../answer.ts";
import { isProven, limitAddress, proofWrong, rateLimited } from "../authenticate.ts";
import { clientAddress } from "../hub.ts";
import type { Hub, HubContext } from "../hub.ts";
import { readJsonBody } from "../read-body.ts";
import type { JoinRefusalCode } from "../storage/record-storage.ts";

/** Answers POST /api/join. Errors: those of the storage. */
export async function answerJoin(hub: Hub, c: HubContext): Promise<Response> {
  const limited = limitAddress(hub, c);
  if (limited !== null) return limited;
  const waitSeconds = hub.limits.wrongCodesByAddress.wait(clientAddress(c));
  if (waitSeconds > 0) return refuse(c, rateLimited(waitSeconds));
  const body = await readJsonBody(c, readJoinRequest);
  if (body instanceof Response) return body;
  if (!(await isProven(body.value, joiningText(body.value)))) return refuse(c, proofWrong);
  const { code, device, deviceName, token } = body.value;
  const outcome = await hub.storage.join({
    codeDigest: sha256Hex(plainJoinCode(code)),
    device,
    deviceName,
    tokenDigest: sha256Hex(token),
    nowMs: hub.clock.nowMs(),
  });
  if (typeof outcome === "string") {
    hub.limits.wrongCodesByAddress.take(clientAddress(c));
    return refuse(c, refusals[outcome]);
  }
  hub.log("info", "device.let-in", { run: outcome.run, device, role: outcome.role });
  hub.streams.tellEntries(outcome.run, await hub.storage.readHead(outcome.run));
  return answerJson(outcome);
}

const askForAnother = "Ask the test director for a new code.";

const refusals: Readonly<Record<JoinRefusalCode, RefusalOf>> = {
  "code-unknown": {
    status: 404,
    code: "code-unknown",
    says: "No run has this code.",
    mend: "Look at the code again, letter by letter; or ask the test director for a new one.",
  },
  "code-used": {
    status: 410,
    code: "code-used",
    says: "Another device has joined with this code; each code lets in one.",
    mend: askForAnother,
  },
  "code-expired": {
    status: 410,
    code: "code-expired",
    says: "This code is no longer good.",
    mend: askForAnother,
  },
  "device-taken": {
    status: 409,
    code: "device-taken",
    says: "This device is in the run already, but shows another secret than when it joined.",
    mend: "Clear this app's data on the device, then join with a new code.",
  },
  "device-already-in": {
    status: 409,
    code: "device-already-in",
    says: "This device is in the run already, with another role or position.",
    mend: "Go on with the role that it has, or join with another device.",
  },
};
