// Ids of runs.
//
// [random-id 1] A run's id names its root, the device that opened it; no two of one root are the same.

import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { base32 } from "./base32.ts";

/** A new id for a run that this device opens: the device, a dot, and 65 random bits as letters. */
export function createRunId(root: DeviceId): RunId {
  const letters = base32(crypto.getRandomValues(new Uint8Array(9))).slice(0, 13);
  return `${root}.${letters}` as RunId;
}
