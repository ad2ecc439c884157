// How a device says at the hub's door who it is: its key, and a signature that only this key can make.

import { joiningText } from "../../machines/sync/join.ts";
import type { JoinRequest } from "../../machines/sync/join.ts";
import { openingText } from "../../machines/sync/open.ts";
import type { OpenRequest } from "../../machines/sync/open.ts";
import { signText } from "../keys/sign-text.ts";
import type { Device } from "../store/database.ts";
import type { RunAtWork } from "./sync-world.ts";

/** What a device asks when it opens its run at the hub. Errors: `KeyFailedError`. */
export async function openingOf({ stored, device }: RunAtWork): Promise<OpenRequest> {
  const { run, token, title, procedure, recoveryDoor: recovery } = stored;
  const asked = { run, device: device.device, token, procedure, recovery };
  const proof = await signText(device.privateKey, openingText(asked));
  return { ...asked, deviceName: device.name, title, key: device.publicKey, proof };
}

/** What a device asks when it joins by a code. Errors: `KeyFailedError`. */
export async function joiningOf(code: string, device: Device, token: string): Promise<JoinRequest> {
  const asked = { code, device: device.device, token };
  const proof = await signText(device.privateKey, joiningText(asked));
  return { ...asked, deviceName: device.name, key: device.publicKey, proof };
}
