import { expect, test } from "vitest";
import type { Recovery } from "../../../../machines/record/entry.ts";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import { base64Url, bytesOfBase64Url } from "../../../../workers/keys/base64-url.ts";
import { deviceIdOfKey } from "../../../../workers/keys/device-id.ts";
import { textOfPublicKey } from "../../../../workers/keys/device-key.ts";
import { createRecovery, openRecovery } from "../../../../workers/keys/recovery-key.ts";
import { sealBytes } from "../../../../workers/keys/seal-bytes.ts";
import { signText } from "../../../../workers/keys/sign-text.ts";
import { stretchCode } from "../../../../workers/keys/stretch-code.ts";
import { verifyText } from "../../../../workers/keys/verify-text.ts";
import { keyAlgorithm } from "../../../../workers/keys/web-crypto.ts";

const { code, recovery } = await createRecovery();
const other = await createRecovery();

test("[recovery-key 1] a code is five times four letters, and no two are the same", () => {
  expect(code).toMatch(/^([B-DF-HJ-NP-TV-XZ]{4}-){4}[B-DF-HJ-NP-TV-XZ]{4}$/);
  expect(code).not.toBe(other.code);
  // 20 letters of 20: the base-2 logarithm of 20^20.
  expect(20 * Math.log2(20)).toBeGreaterThan(86);
});

test.each([
  { says: "as shown", typed: code },
  { says: "small and without hyphens", typed: code.replaceAll("-", "").toLowerCase() },
  { says: "with spaces", typed: ` ${code.replaceAll("-", " ")} ` },
])("[recovery-key 1], [recovery-key 2] $says, the code gives the key", async ({ typed }) => {
  const key = await openRecovery(typed, recovery);
  expect(key).toMatchObject({ device: recovery.device, publicKey: recovery.key });
  if (key === null) throw new Error("the right code gives a key");
  expect(await verifyText(recovery.key, "text", await signText(key.privateKey, "text"))).toBe(true);
  expect(key.privateKey.extractable).toBe(false);
  await expect(crypto.subtle.exportKey("pkcs8", key.privateKey)).rejects.toThrow();
});

const wrapped = bytesOfBase64Url(recovery.wrapped) ?? new Uint8Array();
const changedAt = (place: number) =>
  base64Url(wrapped.map((byte, at) => (at === place ? byte ^ 1 : byte)));

test.each([
  { says: "another's code", typed: other.code, given: recovery },
  { says: "one letter wrong", typed: withOtherLetter(code), given: recovery },
  { says: "a letter short", typed: code.slice(0, -1), given: recovery },
  { says: "no code", typed: "", given: recovery },
  { says: "another form", typed: code, given: { ...recovery, wrapped: changedAt(0) } },
  { says: "another salt", typed: code, given: { ...recovery, wrapped: changedAt(1) } },
  { says: "another iv", typed: code, given: { ...recovery, wrapped: changedAt(17) } },
  { says: "a changed key", typed: code, given: { ...recovery, wrapped: changedAt(29) } },
  {
    says: "a changed last byte",
    typed: code,
    given: { ...recovery, wrapped: changedAt(wrapped.length - 1) },
  },
  {
    says: "cut short",
    typed: code,
    given: { ...recovery, wrapped: base64Url(wrapped.subarray(0, 40)) },
  },
  { says: "nothing wrapped", typed: code, given: { ...recovery, wrapped: "" } },
  { says: "no base64url", typed: code, given: { ...recovery, wrapped: "?" } },
  { says: "another's device", typed: code, given: { ...recovery, device: other.recovery.device } },
  { says: "a device of no key", typed: code, given: { ...recovery, device: "x" as DeviceId } },
  {
    says: "another's device and key",
    typed: code,
    given: { ...other.recovery, wrapped: recovery.wrapped },
  },
])("[recovery-key 3] $says gives nothing", async ({ typed, given }) => {
  expect(await openRecovery(typed, given)).toBeNull();
});

// Somebody who opens a run can lock anything with a code, under any name.
test("[recovery-key 3] a recovery that locks another key than it names gives nothing", async () => {
  const [own, foreign] = await Promise.all([createOpenKey(), createOpenKey()]);
  expect(await openRecovery(code, await lock(own, own.privateBytes))).toMatchObject({
    device: own.device,
  });
  expect(await openRecovery(code, await lock(own, foreign.privateBytes))).toBeNull();
  const renamed = { device: foreign.device, key: own.key };
  expect(await openRecovery(code, await lock(renamed, own.privateBytes))).toBeNull();
  expect(await openRecovery(code, await lock(own, new Uint8Array(138)))).toBeNull();
});

test("[recovery-key 4] the record's part holds neither the code nor the bare private key", async () => {
  const text = JSON.stringify(recovery);
  for (const part of [code, code.replaceAll("-", ""), ...code.split("-")]) {
    expect(recovery.wrapped.includes(part) && part.length > 4).toBe(false);
  }
  expect(Object.keys(recovery).toSorted()).toEqual(["device", "key", "wrapped"]);
  // A PKCS #8 key begins with a version and names its algorithm (1.2.840.10045.2.1) in the clear.
  const algorithm = Buffer.from("2a8648ce3d0201", "hex");
  expect(Buffer.from(wrapped).includes(algorithm)).toBe(false);
  expect(text.length).toBeLessThan(500);
});

function withOtherLetter(text: string): string {
  return (text.startsWith("B") ? "C" : "B") + text.slice(1);
}

async function createOpenKey() {
  const pair = await crypto.subtle.generateKey(keyAlgorithm, true, ["sign", "verify"]);
  const key = await textOfPublicKey(pair.publicKey);
  const privateBytes = new Uint8Array(await crypto.subtle.exportKey("pkcs8", pair.privateKey));
  return { device: deviceIdOfKey(key), key, privateBytes };
}

// The form that the head comment of the module defines, written out a second time.
async function lock(
  { device, key }: Pick<Recovery, "device" | "key">,
  bytes: Uint8Array<ArrayBuffer>,
): Promise<Recovery> {
  const salt = new Uint8Array(16);
  const iv = new Uint8Array(12);
  const bound = new TextEncoder().encode(
    `{"device":"${device}","form":1,"key":"${key}","locks":"lanehold recovery"}`,
  );
  const seal = { key: await stretchCode(code.replaceAll("-", ""), salt), iv, bound };
  const sealed = await sealBytes(seal, bytes);
  return { device, key, wrapped: base64Url(Uint8Array.of(1, ...salt, ...iv, ...sealed)) };
}
