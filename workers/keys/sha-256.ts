// The digest that chains, names and pins: SHA-256. Synchronous, so that it can run inside a transaction,
// which the platform's own, a promise a text, cannot.
//
// [sha-256 1] It is the SHA-256 of FIPS 180-4.
// [sha-256 2] A text is hashed as UTF-8.
// A hash of our own in place of the library's would take half the time; but a primitive that everything
// rests on is better looked after by those who do nothing else.

import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex } from "@noble/hashes/utils.js";

/**
 * SHA-256 of a text's UTF-8 bytes, as 64 lower-case hexadecimal digits.
 *
 * Errors: none; a lone surrogate is encoded as U+FFFD, so refuse such texts before.
 * Source: FIPS 180-4. Checked in tests/published/fips-180-4-sha-256.test.ts
 */
export function sha256Hex(text: string): string {
  return bytesToHex(sha256(utf8Of(text)));
}

/**
 * SHA-256 of some bytes: 32 bytes.
 *
 * Errors: none.
 * Source: FIPS 180-4. Checked in tests/published/fips-180-4-sha-256.test.ts
 */
export function sha256Bytes(bytes: Uint8Array): Uint8Array {
  return sha256(bytes);
}

const encoder = new TextEncoder();
// Texts are mostly entries, short and by the ten thousands; their bytes are made in one place.
const room = new Uint8Array(3 * 4_096);

// Good until the next text. A code unit takes three bytes at the most.
function utf8Of(text: string): Uint8Array {
  if (3 * text.length > room.length) return encoder.encode(text);
  return room.subarray(0, encoder.encodeInto(text, room).written);
}
