import { expect, test } from "vitest";
import { base64Url, bytesOfBase64Url } from "../../../../workers/keys/base64-url.ts";
import { createDeviceKey } from "../../../../workers/keys/device-key.ts";
import { signText } from "../../../../workers/keys/sign-text.ts";
import {
  countImportedKeys,
  importedKeysMax,
  verifyText,
} from "../../../../workers/keys/verify-text.ts";

const { publicKey, privateKey } = await createDeviceKey();
const signature = await signText(privateKey, "text");
const bytes = bytesOfBase64Url(signature) ?? new Uint8Array();

test("[verify-text 1] no bit of a signature, key or text can be changed", async () => {
  expect(await verifyText(publicKey, "text", signature)).toBe(true);
  for (let bit = 0; bit < 512; bit += 1) {
    const other = bytes.map((byte, at) => (at === bit >> 3 ? byte ^ (1 << (bit & 7)) : byte));
    expect(await verifyText(publicKey, "text", base64Url(other))).toBe(false);
  }
  for (const text of ["", "tex", "texu", "text\0", "Text"]) {
    expect(await verifyText(publicKey, text, signature)).toBe(false);
  }
});

test.each([
  { says: "empty", key: publicKey, signature: "" },
  { says: "cut", key: publicKey, signature: base64Url(bytes.subarray(0, 63)) },
  { says: "too long", key: publicKey, signature: base64Url(Uint8Array.of(...bytes, 0)) },
  { says: "in DER", key: publicKey, signature: base64Url(derOf(bytes)) },
  { says: "other last bits", key: publicKey, signature: withOtherLastBits(signature) },
  { says: "r and s swapped", key: publicKey, signature: base64Url(swapped(bytes)) },
  { says: "the key is empty", key: "", signature },
  { says: "the key is no base64url", key: "?".repeat(87), signature },
  { says: "the key has other last bits", key: withOtherLastBits(publicKey), signature },
  { says: "the point is at infinity", key: base64Url(Uint8Array.of(0)), signature },
  {
    says: "the point is not on the curve",
    key: base64Url(Uint8Array.from({ length: 65 }, (_, at) => (at === 0 ? 4 : at))),
    signature,
  },
  {
    says: "the point is zero",
    key: base64Url(Uint8Array.from({ length: 65 }, (_, at) => (at === 0 ? 4 : 0))),
    signature,
  },
  {
    says: "the point's x is not below p",
    key: base64Url(Uint8Array.from({ length: 65 }, (_, at) => (at === 0 ? 4 : 255))),
    signature,
  },
])("[verify-text 2] $says: no", async ({ key, signature: given }) => {
  expect(await verifyText(key, "text", given)).toBe(false);
});

test("[verify-text 3] of many keys, only the last are remembered, and all still verify", async () => {
  const keys = await Promise.all(
    Array.from({ length: importedKeysMax + 20 }, () => createDeviceKey()),
  );
  for (const key of keys) {
    const own = await signText(key.privateKey, "text");
    expect(await verifyText(key.publicKey, "text", own)).toBe(true);
    expect(countImportedKeys()).toBeLessThanOrEqual(importedKeysMax);
  }
  expect(countImportedKeys()).toBe(importedKeysMax);
  expect(await verifyText(publicKey, "text", signature)).toBe(true);
});

function swapped(whole: Uint8Array): Uint8Array {
  return Uint8Array.of(...whole.subarray(32), ...whole.subarray(0, 32));
}

function derOf(whole: Uint8Array): Uint8Array {
  const integers = [whole.subarray(0, 32), whole.subarray(32)].flatMap((part) => [
    2,
    33,
    0,
    ...part,
  ]);
  return Uint8Array.of(0x30, integers.length, ...integers);
}

// The last letter of a key or of a signature holds bits that no byte takes.
function withOtherLastBits(text: string): string {
  const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
  return text.slice(0, -1) + (letters[letters.indexOf(text.slice(-1)) ^ 1] ?? "");
}
