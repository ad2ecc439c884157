// Verifying a text's signature.
//
// [verify-text 1] Only a signature of this very text, by this very key, is good.
// [verify-text 2] Whatever key, text or signature comes in, the answer is yes or no.
// [verify-text 3] At most `importedKeysMax` keys are remembered, those that were used last.
//
// The second half of the signature may be s or n - s, as the platform accepts both: whoever holds a good
// signature can make a second one of the same text. Nothing here depends on a signature's bytes.

import { bytesOfBase64Url } from "./base64-url.ts";
import { pointOfKey } from "./device-id.ts";
import { keyAlgorithm, signatureAlgorithm, useWebCrypto } from "./web-crypto.ts";

/** How many imported keys are remembered at most. */
export const importedKeysMax = 256;

/**
 * Whether a signature is this key's, over this text's UTF-8 bytes.
 *
 * @param publicKey what should be a key's text, see `PublicKeyText`
 * @param signature what should be 64 bytes as base64url, see `signText`
 * Errors: `KeyFailedError` if the platform cannot verify at all; never for what came in.
 * Source: FIPS 186-5, section 6.4.2. Checked in tests/published/rfc-6979-ecdsa-p-256.test.ts
 */
export async function verifyText(
  publicKey: string,
  text: string,
  signature: string,
): Promise<boolean> {
  const signatureBytes = bytesOfBase64Url(signature);
  if (signatureBytes === null || signatureBytes.length !== 64) return false;
  const key = await importKey(publicKey);
  if (key === null) return false;
  const bytes = new TextEncoder().encode(text);
  return useWebCrypto("verify", (subtle) =>
    subtle.verify(signatureAlgorithm, key, signatureBytes, bytes),
  );
}

/** How many imported keys are remembered now. Errors: none. */
export function countImportedKeys(): number {
  return importedKeys.size;
}

// A map keeps the order in which keys were put in, so the first is the one that was not used for longest.
const importedKeys = new Map<string, CryptoKey>();

async function importKey(publicKey: string): Promise<CryptoKey | null> {
  const point = pointOfKey(publicKey);
  if (point === null) return null;
  const key = importedKeys.get(publicKey) ?? (await importPoint(point));
  if (key === null) return null;
  importedKeys.delete(publicKey);
  importedKeys.set(publicKey, key);
  for (const oldest of importedKeys.keys()) {
    if (importedKeys.size <= importedKeysMax) break;
    importedKeys.delete(oldest);
  }
  return key;
}

// Null: no point of the curve.
function importPoint(point: Uint8Array<ArrayBuffer>): Promise<CryptoKey | null> {
  return useWebCrypto("verify", async (subtle) => {
    try {
      return await subtle.importKey("raw", point, keyAlgorithm, true, ["verify"]);
    } catch (error) {
      if (error instanceof DOMException && error.name === "DataError") return null;
      throw error;
    }
  });
}
