// Bytes that only a key opens, and that nobody can change unnoticed.
//
// [seal-bytes 1] It is AES-GCM with a key of 32 bytes and a tag of 16, which stands at the end.
// [seal-bytes 2] With another key, iv or bound bytes, or one bit changed, nothing comes out.

import { useWebCrypto } from "./web-crypto.ts";

/** With what bytes are sealed. */
export type Seal = {
  /** 32 bytes. */
  readonly key: Uint8Array<ArrayBuffer>;
  /** 12 bytes, never used twice with one key. */
  readonly iv: Uint8Array<ArrayBuffer>;
  /** Not hidden, but must be the same at the opening. */
  readonly bound: Uint8Array<ArrayBuffer>;
};

/**
 * Seals bytes: as many come out, and 16 more.
 *
 * Errors: `KeyFailedError`.
 * Source: NIST SP 800-38D, section 7.1. Checked in tests/published/gcm-spec-aes-gcm.test.ts
 */
export async function sealBytes(
  seal: Seal,
  bytes: Uint8Array<ArrayBuffer>,
): Promise<Uint8Array<ArrayBuffer>> {
  const sealed = await useWebCrypto("lock", async (subtle) => {
    const key = await subtle.importKey("raw", seal.key, "AES-GCM", false, ["encrypt"]);
    return subtle.encrypt(gcmOf(seal), key, bytes);
  });
  return new Uint8Array(sealed);
}

/**
 * The bytes that were sealed; null if this seal does not open them.
 *
 * Errors: `KeyFailedError`, not for a seal that does not fit.
 * Source: NIST SP 800-38D, section 7.2. Checked as `sealBytes`.
 */
export function openSealed(
  seal: Seal,
  sealed: Uint8Array<ArrayBuffer>,
): Promise<Uint8Array<ArrayBuffer> | null> {
  return useWebCrypto("unlock", async (subtle) => {
    const key = await subtle.importKey("raw", seal.key, "AES-GCM", false, ["decrypt"]);
    try {
      return new Uint8Array(await subtle.decrypt(gcmOf(seal), key, sealed));
    } catch (error) {
      // What WebCrypto throws if the tag does not fit, or there is no room for one.
      if (error instanceof DOMException && error.name === "OperationError") return null;
      throw error;
    }
  });
}

function gcmOf({ iv, bound }: Seal): AesGcmParams {
  return { name: "AES-GCM", iv, additionalData: bound, tagLength: 128 };
}
