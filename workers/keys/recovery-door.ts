// What the holder of a recovery code shows at the hub's door: made of the code, but not the code, so that
// the hub cannot unlock the recovery key.

import { plainJoinCode } from "../../machines/sync/join-code.ts";
import { sha256Hex } from "./sha-256.ts";

/** The code for the hub's door, in place of a join code. `code`: as somebody typed it. Errors: none. */
export function recoveryDoorCode(code: string): string {
  return sha256Hex(`lanehold recovery door ${plainJoinCode(code)}`).toUpperCase();
}

/** The digest by which the hub knows the door code. Errors: none. */
export function recoveryDoorDigest(code: string): string {
  return sha256Hex(plainJoinCode(recoveryDoorCode(code)));
}
