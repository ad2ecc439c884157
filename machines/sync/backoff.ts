// How long to wait before a hub that did not answer is tried again.
//
// [backoff 1] The wait doubles with each failure in a row, up to `waitMsMax`.
// [backoff 2] A random half of it keeps many tablets from coming back all at once.

import { assert } from "../base/assert.ts";

/** Longest wait after the first failure, milliseconds. */
export const waitMsFirst = 1_000;
/** Longest wait ever, unless the hub asks for more, milliseconds. */
export const waitMsMax = 60_000;

/**
 * The wait after so many failures in a row, milliseconds: between half of a bound and the bound.
 *
 * @param failures in a row, from 1
 * @param random from 0 to 1, 1 excluded
 * Errors: assertions for arguments out of bounds. Source: common practice, no source.
 */
export function backoffMs(failures: number, random: number): number {
  assert(failures >= 1, "there was a failure to wait after");
  assert(random >= 0, "a random number is not below 0");
  assert(random < 1, "a random number is below 1");
  const boundMs = Math.min(waitMsMax, waitMsFirst * 2 ** (failures - 1));
  return Math.round(boundMs / 2 + (boundMs / 2) * random);
}
