// Ids of runs and devices: UUIDs of version 7, which sort by the time at which they were made.
//
// [uuid 1] They are spelled as RFC 9562 spells them.
// [uuid 2] One that is made in a later millisecond sorts later.
// [uuid 3] No two are the same.
// [uuid 4] A time or a number of bytes that does not fit is our own mistake.

import { assert } from "../../machines/base/assert.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";

/** A new id for a run. `wallMs`: this device's clock, milliseconds since 1970. */
export function createRunId(wallMs: number): RunId {
  return uuidOfTime(wallMs, randomBytes()) as RunId;
}

/** A new id for this device, made once, at first use. `wallMs`: as in `createRunId`. */
export function createDeviceId(wallMs: number): DeviceId {
  return uuidOfTime(wallMs, randomBytes()) as DeviceId;
}

/**
 * The UUID of version 7 of a time and ten random bytes, in lower case.
 *
 * @param wallMs milliseconds since 1970, whole, below 2 to the 48th
 * @param random ten bytes; their first four bits give way to the version, and the first two bits of
 *   the third byte to the variant
 * Errors: assertions for a time or a length out of bounds.
 * Source: RFC 9562, section 5.7. Checked in tests/published/rfc-9562-uuid.test.ts
 */
export function uuidOfTime(wallMs: number, random: Uint8Array): string {
  assert(Number.isInteger(wallMs), "a UUID's time is whole milliseconds");
  assert(wallMs >= 0, "a UUID's time is not before 1970");
  assert(wallMs < 2 ** 48, "a UUID's time fits 48 bits");
  assert(random.length === 10, "a UUID of version 7 takes ten random bytes");
  const tail = [...random];
  tail[0] = 0x70 | ((random[0] ?? 0) & 0x0f);
  tail[2] = 0x80 | ((random[2] ?? 0) & 0x3f);
  const tailHex = tail.map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const hex = wallMs.toString(16).padStart(12, "0") + tailHex;
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

function randomBytes(): Uint8Array {
  return crypto.getRandomValues(new Uint8Array(10));
}
