import { expect, test } from "vitest";
import { createDeviceKey } from "../../../../workers/keys/device-key.ts";
import { KeyFailedError } from "../../../../workers/keys/key-failed-error.ts";
import { signText } from "../../../../workers/keys/sign-text.ts";
import { verifyText } from "../../../../workers/keys/verify-text.ts";

test("[sign-text 1] a signature verifies by its own key only", async () => {
  const [ours, theirs] = await Promise.all([createDeviceKey(), createDeviceKey()]);
  const signature = await signText(ours.privateKey, "é 😀");
  expect(signature).toMatch(/^[A-Za-z0-9_-]{86}$/);
  expect(await verifyText(ours.publicKey, "é 😀", signature)).toBe(true);
  expect(await verifyText(theirs.publicKey, "é 😀", signature)).toBe(false);
});

test("[web-crypto 1] a key that may not sign is an error that says so, with its cause", async () => {
  const pair = await crypto.subtle.generateKey({ name: "ECDSA", namedCurve: "P-256" }, false, [
    "sign",
    "verify",
  ]);
  const error: unknown = await signText(pair.publicKey, "x").catch((thrown: unknown) => thrown);
  expect(error).toBeInstanceOf(KeyFailedError);
  expect(error).toMatchObject({ name: "KeyFailedError", act: "sign" });
  expect(String(error)).toBe("KeyFailedError: This browser could not sign with this device's key.");
  expect(Reflect.get(error as object, "cause")).toBeInstanceOf(DOMException);
});
