// Signing the head of a device's chain, at a hand-over.
//
// [sign-head 1] The head that comes out names its device and key, and verifies.

import { headText } from "../../machines/sync/signed-head.ts";
import type { SignedHead } from "../../machines/sync/signed-head.ts";
import type { DeviceKey } from "./device-key.ts";
import { signText } from "./sign-text.ts";

/** Signs where this device's chain stands in a run. Errors: `KeyFailedError`. */
export async function signHead(
  key: DeviceKey,
  head: Pick<SignedHead, "run" | "seq" | "digest">,
): Promise<SignedHead> {
  const { run, seq, digest } = head;
  const named = { run, device: key.device, seq, digest };
  const signature = await signText(key.privateKey, headText(named));
  return { ...named, key: key.publicKey, signature };
}
