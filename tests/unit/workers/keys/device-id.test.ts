import { expect, test } from "vitest";
import type { PublicKeyText } from "../../../../machines/record/ids.ts";
import { base64Url } from "../../../../workers/keys/base64-url.ts";
import { deviceIdOfKey, pointOfKey } from "../../../../workers/keys/device-id.ts";
import { createDeviceKey } from "../../../../workers/keys/device-key.ts";

test("[device-id 1] the same key has the same id, another key another", async () => {
  const keys = await Promise.all(Array.from({ length: 100 }, () => createDeviceKey()));
  expect(keys.map(({ publicKey }) => deviceIdOfKey(publicKey))).toEqual(
    keys.map(({ device }) => device),
  );
  expect(new Set(keys.map(({ device }) => device)).size).toBe(keys.length);
});

const point = Uint8Array.from({ length: 65 }, (_, index) => (index === 0 ? 4 : index));
const right = base64Url(point);

test("[device-id 2] a point of 65 bytes is a key's text", () => {
  expect(pointOfKey(right)).toEqual(point);
});

test.each([
  { says: "64 bytes", text: base64Url(point.subarray(0, 64)) },
  { says: "66 bytes", text: base64Url(Uint8Array.of(...point, 0)) },
  { says: "a compressed point", text: base64Url(Uint8Array.of(2, ...point.subarray(1, 33))) },
  { says: "another first byte", text: base64Url(Uint8Array.of(6, ...point.subarray(1))) },
  // The last letter holds two bits that no byte takes.
  { says: "other last bits", text: `${right.slice(0, -1)}B` },
  { says: "padding", text: `${right}=` },
  { says: "nothing", text: "" },
])("[device-id 2] $says: no key", ({ text }) => {
  expect(pointOfKey(text)).toBeNull();
  expect(() => deviceIdOfKey(text as PublicKeyText)).toThrow("Assertion failed");
});
