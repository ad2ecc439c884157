// A key out of a code that a person can write down, made slow to guess.
//
// [stretch-code 1] It is PBKDF2 with HMAC-SHA-256.

import { useWebCrypto } from "./web-crypto.ts";

/**
 * How often a code is hashed before it is a key. The whole takes about 0.2 s on a desk computer's core.
 *
 * Source: OWASP Password Storage Cheat Sheet (2023), PBKDF2-HMAC-SHA256: 600,000 or more.
 */
export const stretchRounds = 600_000;

/**
 * The 32 bytes that come of a code's UTF-8 bytes.
 *
 * @param salt random bytes that are kept beside what the key locks
 * Errors: `KeyFailedError`.
 * Source: RFC 8018, section 5.2. Checked in tests/published/rfc-7914-pbkdf2.test.ts
 */
export async function stretchCode(
  code: string,
  salt: Uint8Array<ArrayBuffer>,
  rounds: number = stretchRounds,
): Promise<Uint8Array<ArrayBuffer>> {
  const bytes = new TextEncoder().encode(code);
  const bits = await useWebCrypto("lock", async (subtle) => {
    const key = await subtle.importKey("raw", bytes, "PBKDF2", false, ["deriveBits"]);
    return subtle.deriveBits(
      { name: "PBKDF2", hash: "SHA-256", salt, iterations: rounds },
      key,
      256,
    );
  });
  return new Uint8Array(bits);
}
