import { afterEach, expect, test, vi } from "vitest";
import { createDeviceKey } from "../../../../workers/keys/device-key.ts";
import { KeyFailedError } from "../../../../workers/keys/key-failed-error.ts";
import { probeKey } from "../../../../workers/keys/probe-key.ts";

afterEach(() => {
  vi.unstubAllGlobals();
});

// As on a page that came by http.
const withoutKeys = { getRandomValues: crypto.getRandomValues.bind(crypto) };

test("[web-crypto 1] where the platform has no keys, that is a KeyFailedError", async () => {
  vi.stubGlobal("crypto", withoutKeys);
  await expect(createDeviceKey()).rejects.toBeInstanceOf(KeyFailedError);
  await expect(createDeviceKey()).rejects.toMatchObject({ act: "make" });
});

test("[probe-key 2] where the platform has no keys, the probe says so", async () => {
  vi.stubGlobal("crypto", withoutKeys);
  expect(await probeKey(undefined)).toMatchObject({ keeps: false, reason: "no-key" });
});
