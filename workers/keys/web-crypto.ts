// The one door to the platform's keys. It is the same in a page, in the service worker and in Node.
//
// [web-crypto 1] Whatever the platform throws comes out as a `KeyFailedError` with that as its cause.
//
// ECDSA with P-256 and SHA-256, because every tablet's browser has it; Ed25519 came with Chrome 137,
// Firefox 129 and Safari 17.

import { KeyFailedError } from "./key-failed-error.ts";
import type { KeyAct } from "./key-failed-error.ts";

/** The keys that devices have. */
export const keyAlgorithm = { name: "ECDSA", namedCurve: "P-256" } as const;
/** How they sign. */
export const signatureAlgorithm = { name: "ECDSA", hash: "SHA-256" } as const;

/**
 * Does something with the platform's keys.
 *
 * Errors: `KeyFailedError`, also where the platform has no keys at all, as on a page that came by http.
 */
export async function useWebCrypto<Result>(
  act: KeyAct,
  work: (subtle: SubtleCrypto) => Promise<Result>,
): Promise<Result> {
  try {
    return await work(crypto.subtle);
  } catch (cause) {
    throw new KeyFailedError(act, { cause });
  }
}
