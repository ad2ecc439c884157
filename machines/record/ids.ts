// Ids of the things that a record names, and what they say by themselves.

import type { Branded } from "../base/branded.ts";

/**
 * Names a run: "<root>.<letters>", where the *root* is the device that opened it. Whoever knows a run's
 * id so knows the key that every right in the run goes back to, without trusting a network.
 */
export type RunId = Branded<"RunId">;
/**
 * Names a device: the fingerprint of its public key, so that whoever knows the id can tell whether a
 * signature is that device's.
 */
export type DeviceId = Branded<"DeviceId">;
/** Names a hold: the device and the seq of the entry that raised it, "<device>:<seq>". */
export type HoldId = Branded<"HoldId">;
/** A public key: the uncompressed point of curve P-256 as base64url, 87 characters. */
export type PublicKeyText = Branded<"PublicKeyText">;

/** The device that opened the run; null if the id names none. Errors: none. */
export function rootOfRun(run: RunId): DeviceId | null {
  const end = run.indexOf(".");
  return end <= 0 ? null : (run.slice(0, end) as DeviceId);
}
