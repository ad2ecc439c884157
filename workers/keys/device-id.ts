// A device's name is its key's fingerprint, so that nobody can sign in another's name.
//
// Definition: the *fingerprint* of a key is the first 130 bits of its thumbprint (RFC 7638: SHA-256 of the
//   key's own members as JSON, in a fixed order) as 26 characters of base32, in small letters.
// [device-id 1] One key has one id, whoever computes it.
// [device-id 2] One key has one text: a text of a wrong length, a compressed point or another spelling of
//   the same bytes is no key.

import { assert } from "../../machines/base/assert.ts";
import { canonicalJson } from "../../machines/base/canonical-json.ts";
import type { DeviceId, PublicKeyText } from "../../machines/record/ids.ts";
import { base32 } from "./base32.ts";
import { base64Url, bytesOfBase64Url } from "./base64-url.ts";
import { sha256Bytes } from "./sha-256.ts";

/**
 * The id of the device that has this key: 26 characters of "a" to "z" and "2" to "7".
 *
 * Two keys with one id are not to be found: that takes some 2^65 tries for any two, and 2^130 for the id
 * of a given device.
 *
 * Errors: an assertion if the text is not a key's, see `pointOfKey`. Whether the point is on the curve is
 *   not looked at: a key whose point is not on it verifies nothing.
 * Source: RFC 7638, sections 3.1 and 3.2; RFC 7518, section 6.2.1. Checked in
 *   tests/published/rfc-7638-device-id.test.ts
 */
export function deviceIdOfKey(publicKey: PublicKeyText): DeviceId {
  const point = pointOfKey(publicKey);
  assert(point !== null, "a device's public key is the text of a point");
  const x = base64Url(point.subarray(1, 33));
  const y = base64Url(point.subarray(33));
  const members = canonicalJson({ crv: "P-256", kty: "EC", x, y });
  const thumbprint = sha256Bytes(new TextEncoder().encode(members));
  return base32(thumbprint).slice(0, idCharacters) as DeviceId;
}

/**
 * The key's uncompressed point: 65 bytes, the first of them 4. Null if the text is not that of one.
 *
 * Errors: none. Source of the form: SEC 1 version 2.0, section 2.3.3.
 */
export function pointOfKey(publicKey: string): Uint8Array<ArrayBuffer> | null {
  const point = bytesOfBase64Url(publicKey);
  if (point === null || point.length !== 65) return null;
  return point[0] === 4 ? point : null;
}

const idCharacters = 26;
