import { expect, test } from "vitest";
import { createDeviceKey } from "../../../../workers/keys/device-key.ts";
import { deviceIdOfKey } from "../../../../workers/keys/device-id.ts";

test("[device-key 1] the private key cannot be exported in any form, nor can its clone", async () => {
  const { privateKey } = await createDeviceKey();
  expect(privateKey.usages).toEqual(["sign"]);
  for (const key of [privateKey, structuredClone(privateKey)]) {
    expect(key.extractable).toBe(false);
    for (const format of ["pkcs8", "jwk", "raw"] as const) {
      await expect(crypto.subtle.exportKey(format, key)).rejects.toThrow();
    }
  }
});

test("[device-key 2] the id is 26 letters and digits, the public key's fingerprint", async () => {
  const { device, publicKey } = await createDeviceKey();
  expect(publicKey).toMatch(/^B[A-Za-z0-9_-]{86}$/);
  expect(device).toMatch(/^[a-z2-7]{26}$/);
  expect(device).toBe(deviceIdOfKey(publicKey));
});
