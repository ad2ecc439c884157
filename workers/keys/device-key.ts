// The key pair by which a device is known.
//
// [device-key 1] The private key cannot be read out, not by the page's own scripts either; it can only
//   be used and be kept in IndexedDB.
// [device-key 2] The device's id is the fingerprint of its public key.

import type { DeviceId, PublicKeyText } from "../../machines/record/ids.ts";
import { base64Url } from "./base64-url.ts";
import { deviceIdOfKey } from "./device-id.ts";
import { keyAlgorithm, useWebCrypto } from "./web-crypto.ts";

/** A device's key, as it is kept on that device alone. */
export type DeviceKey = {
  readonly device: DeviceId;
  readonly publicKey: PublicKeyText;
  /** Signs; cannot be exported. Structured clone carries it into IndexedDB; do not index its table. */
  readonly privateKey: CryptoKey;
};

/** Makes a new key. Errors: `KeyFailedError`. */
export async function createDeviceKey(): Promise<DeviceKey> {
  const pair = await useWebCrypto("make", (subtle) =>
    subtle.generateKey(keyAlgorithm, false, ["sign", "verify"]),
  );
  const publicKey = await textOfPublicKey(pair.publicKey);
  return { device: deviceIdOfKey(publicKey), publicKey, privateKey: pair.privateKey };
}

/** A public key as text. Errors: `KeyFailedError`. */
export async function textOfPublicKey(publicKey: CryptoKey): Promise<PublicKeyText> {
  const point = await useWebCrypto("make", (subtle) => subtle.exportKey("raw", publicKey));
  return base64Url(new Uint8Array(point)) as PublicKeyText;
}
