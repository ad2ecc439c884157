// Published values: thumbprints of keys, from which devices have their ids.
// Source: RFC 9449, figures 2 and 9: an example key of curve P-256 and its RFC 7638 thumbprint ("jkt"),
// looked up in public test suites that cite those figures. (RFC 7638's own example is an RSA key.) And the
// jose package's calculateJwkThumbprint, an implementation by others.

import { calculateJwkThumbprint } from "jose";
import { expect, test } from "vitest";
import type { PublicKeyText } from "../../machines/record/ids.ts";
import { base32 } from "../../workers/keys/base32.ts";
import { base64Url } from "../../workers/keys/base64-url.ts";
import { createDeviceKey } from "../../workers/keys/device-key.ts";
import { deviceIdOfKey } from "../../workers/keys/device-id.ts";

const idOfThumbprint = (thumbprint: string) =>
  base32(Buffer.from(thumbprint, "base64url")).slice(0, 26);

test("[device-id 1] the key of RFC 9449 has the thumbprint of RFC 9449", () => {
  const x = Buffer.from("l8tFrhx-34tV3hRICRDY9zCkDlpBhF42UQUfWVAWBFs", "base64url");
  const y = Buffer.from("9VE4jf_Ok_o64zbTTlcuNJajHmt6v9TDVrU0CdvGRDA", "base64url");
  const key = base64Url(Buffer.concat([Uint8Array.of(4), x, y])) as PublicKeyText;
  const thumbprint = "0ZcOCORZNYy-DWpqq30jZyJGHTN0d2HglBV3uiguA4I";
  expect(deviceIdOfKey(key)).toBe(idOfThumbprint(thumbprint));
});

test("[device-id 1] a new key's id is that of jose's thumbprint", async () => {
  for (let count = 0; count < 50; count += 1) {
    const { device, publicKey } = await createDeviceKey();
    const point = Buffer.from(publicKey, "base64url");
    const jwk = {
      kty: "EC",
      crv: "P-256",
      x: point.subarray(1, 33).toString("base64url"),
      y: point.subarray(33).toString("base64url"),
    };
    expect(device).toBe(idOfThumbprint(await calculateJwkThumbprint(jwk, "sha256")));
  }
});
