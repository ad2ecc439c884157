// Verifying the head of a device's chain, on the hub and on every device alike.
//
// [verify-head 1] A head is good only if its device is the fingerprint of its key and the signature is
//   that key's, over this very run, device, seq and digest.
// [verify-head 2] Whatever comes in, the answer is yes or no.

import { readShape } from "../../machines/procedure/read-shape.ts";
import { headText, signedHeadShape } from "../../machines/sync/signed-head.ts";
import type { SignedHead } from "../../machines/sync/signed-head.ts";
import { deviceIdOfKey, pointOfKey } from "./device-id.ts";
import { verifyText } from "./verify-text.ts";

/**
 * Whether a head is its device's own word.
 *
 * It says nothing of the device's rights in the run, nor whether the chain really has this head.
 *
 * Errors: `KeyFailedError` if the platform cannot verify at all; never for what came in.
 */
export async function verifyHead(head: SignedHead): Promise<boolean> {
  // The head may come from anywhere, so its shape is looked at again before its text is made.
  const { value } = readShape(signedHeadShape, head);
  if (value === null || pointOfKey(value.key) === null) return false;
  if (value.device !== deviceIdOfKey(value.key)) return false;
  return verifyText(value.key, headText(value), value.signature);
}
