// The digest that chains, names and pins: SHA-256. Synchronous, so that it can run inside a transaction.
//
// [sha-256 1] It is the SHA-256 of FIPS 180-4.
// [sha-256 2] A text is hashed as UTF-8.

import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";

/**
 * SHA-256 of a text's UTF-8 bytes, as 64 lower-case hexadecimal digits.
 *
 * Errors: none; a lone surrogate is encoded as U+FFFD, so refuse such texts before.
 * Source: FIPS 180-4. Checked in tests/published/fips-180-4-sha-256.test.ts
 */
export function sha256Hex(text: string): string {
  return bytesToHex(sha256Bytes(utf8ToBytes(text)));
}

/**
 * SHA-256 of bytes, as 32 bytes. Errors: none.
 *
 * Source: FIPS 180-4. Checked in tests/published/fips-180-4-sha-256.test.ts
 */
export function sha256Bytes(bytes: Uint8Array): Uint8Array {
  return sha256(bytes);
}
