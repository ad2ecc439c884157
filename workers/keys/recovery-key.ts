// A spare director's key, locked by a code that is shown once, when a run is opened, and written down.
// If the director's device is lost, another device becomes a director's with it, without any network.
//
// Definition: the *wrapped* key is, as base64url: one byte with the number of this form, 1; 16 bytes of
//   salt; 12 bytes of iv; the sealed private key (PKCS #8). The code stretched with the salt is the seal's
//   key; the form's number, the device and its public key are bound to it.
// [recovery-key 1] The code has 20 letters of a join code's alphabet, about 86 bits, all as likely; it is
//   the same code however it is typed.
// [recovery-key 2] The right code gives back the key of the device that the recovery names, and that key
//   cannot be read out.
// [recovery-key 3] A wrong code, a damaged or foreign recovery, and one whose key is not the one that it
//   names give nothing.
// [recovery-key 4] What stands in the record holds nothing of the code.

import { canonicalJson } from "../../machines/base/canonical-json.ts";
import type { Recovery } from "../../machines/record/entry.ts";
import { joinCodeAlphabet, plainJoinCode } from "../../machines/sync/join-code.ts";
import { base64Url, bytesOfBase64Url } from "./base64-url.ts";
import { deviceIdOfKey, pointOfKey } from "./device-id.ts";
import { textOfPublicKey } from "./device-key.ts";
import type { DeviceKey } from "./device-key.ts";
import { randomBelow } from "./random-below.ts";
import { openSealed, sealBytes } from "./seal-bytes.ts";
import type { Seal } from "./seal-bytes.ts";
import { signText } from "./sign-text.ts";
import { stretchCode } from "./stretch-code.ts";
import { verifyText } from "./verify-text.ts";
import { keyAlgorithm, useWebCrypto } from "./web-crypto.ts";

/** How many letters a recovery code has. */
export const recoveryCodeLetters = 20;

/** A new recovery. The code is shown once and kept nowhere; only `recovery` goes into the record. */
export type NewRecovery = {
  /** "BCDF-GHJK-LMNP-QRST-VWXZ". */
  readonly code: string;
  /** For the entry that opens the run. */
  readonly recovery: Recovery;
};

/** Makes a key and a code that locks it. Errors: `KeyFailedError`. */
export async function createRecovery(): Promise<NewRecovery> {
  const pair = await useWebCrypto("make", (subtle) =>
    subtle.generateKey(keyAlgorithm, true, ["sign", "verify"]),
  );
  const key = await textOfPublicKey(pair.publicKey);
  const named = { device: deviceIdOfKey(key), key };
  const code = createRecoveryCode();
  const salt = randomBytes(16);
  const iv = randomBytes(12);
  const seal = await sealOfCode(code, named, { salt, iv });
  const privateBytes = await useWebCrypto("make", (subtle) =>
    subtle.exportKey("pkcs8", pair.privateKey),
  );
  const sealed = await sealBytes(seal, new Uint8Array(privateBytes));
  const wrapped = base64Url(Uint8Array.of(wrappedForm, ...salt, ...iv, ...sealed));
  return { code, recovery: { ...named, wrapped } };
}

/**
 * The key that a code unlocks; null if it does not.
 *
 * The key is a director's, like another device's, and is kept like a device's own.
 *
 * @param code as somebody typed it
 * Errors: `KeyFailedError` if the platform cannot unlock at all; never for what came in.
 */
export async function openRecovery(code: string, recovery: Recovery): Promise<DeviceKey | null> {
  const { device, key } = recovery;
  const letters = plainJoinCode(code);
  const parts = partsOfWrapped(recovery.wrapped);
  if (letters.length !== recoveryCodeLetters || parts === null) return null;
  if (pointOfKey(key) === null || deviceIdOfKey(key) !== device) return null;
  const privateBytes = await openSealed(await sealOfCode(letters, recovery, parts), parts.sealed);
  if (privateBytes === null) return null;
  const privateKey = await importPrivateKey(privateBytes);
  privateBytes.fill(0);
  if (privateKey === null) return null;
  const matches = await verifyText(key, device, await signText(privateKey, device));
  return matches ? { device, publicKey: key, privateKey } : null;
}

function createRecoveryCode(): string {
  const letters = Array.from(
    { length: recoveryCodeLetters },
    () => joinCodeAlphabet[randomBelow(joinCodeAlphabet.length)],
  );
  return (letters.join("").match(/.{4}/g) ?? []).join("-");
}

const wrappedForm = 1;
const saltStart = 1;
const ivStart = saltStart + 16;
const sealedStart = ivStart + 12;

type WrappedParts = {
  readonly salt: Uint8Array<ArrayBuffer>;
  readonly iv: Uint8Array<ArrayBuffer>;
  readonly sealed: Uint8Array<ArrayBuffer>;
};

// Null: not of this form.
function partsOfWrapped(wrapped: string): WrappedParts | null {
  const bytes = bytesOfBase64Url(wrapped);
  if (bytes === null || bytes[0] !== wrappedForm || bytes.length <= sealedStart) return null;
  return {
    salt: bytes.slice(saltStart, ivStart),
    iv: bytes.slice(ivStart, sealedStart),
    sealed: bytes.slice(sealedStart),
  };
}

async function sealOfCode(
  code: string,
  { device, key }: Pick<Recovery, "device" | "key">,
  { salt, iv }: Pick<WrappedParts, "salt" | "iv">,
): Promise<Seal> {
  const bound = canonicalJson({ locks: "lanehold recovery", form: wrappedForm, device, key });
  return {
    key: await stretchCode(plainJoinCode(code), salt),
    iv,
    bound: new TextEncoder().encode(bound),
  };
}

// Null: the bytes are no key. They come from whoever opened the run, and a code may open anything.
function importPrivateKey(bytes: Uint8Array<ArrayBuffer>): Promise<CryptoKey | null> {
  return useWebCrypto("unlock", async (subtle) => {
    try {
      return await subtle.importKey("pkcs8", bytes, keyAlgorithm, false, ["sign"]);
    } catch (error) {
      if (error instanceof DOMException && error.name === "DataError") return null;
      throw error;
    }
  });
}

function randomBytes(length: number): Uint8Array<ArrayBuffer> {
  return crypto.getRandomValues(new Uint8Array(length));
}
