// Signing a text with a device's key.
//
// [sign-text 1] What is signed verifies by `verifyText` with the key's own public key, and by no other.

import { base64Url } from "./base64-url.ts";
import { signatureAlgorithm, useWebCrypto } from "./web-crypto.ts";

/**
 * The signature of a text's UTF-8 bytes: 64 bytes (r, then s; IEEE P1363) as base64url, 86 characters.
 *
 * Two signatures of one text differ, so never compare, order or hash by them. A lone surrogate is signed
 * as U+FFFD, so refuse such texts before.
 *
 * Errors: `KeyFailedError`.
 */
export async function signText(privateKey: CryptoKey, text: string): Promise<string> {
  const bytes = new TextEncoder().encode(text);
  const signature = await useWebCrypto("sign", (subtle) =>
    subtle.sign(signatureAlgorithm, privateKey, bytes),
  );
  return base64Url(new Uint8Array(signature));
}
