import { expect, test } from "vitest";
import type { RunId } from "../../../../machines/record/ids.ts";
import { headText } from "../../../../machines/sync/signed-head.ts";
import type { SignedHead } from "../../../../machines/sync/signed-head.ts";
import { createDeviceKey } from "../../../../workers/keys/device-key.ts";
import { signHead } from "../../../../workers/keys/sign-head.ts";
import { signText } from "../../../../workers/keys/sign-text.ts";
import { verifyHead } from "../../../../workers/keys/verify-head.ts";

const [ours, theirs] = await Promise.all([createDeviceKey(), createDeviceKey()]);
const digest = "0123456789abcdef".repeat(4);
const run = `${ours.device}.one` as RunId;
const head = await signHead(ours, { run, seq: 7, digest });
const theirHead = await signHead(theirs, { run, seq: 7, digest });

test.each<{ readonly says: string; readonly head: SignedHead }>([
  { says: "another run", head: { ...head, run: `${ours.device}.two` as RunId } },
  { says: "an earlier seq", head: { ...head, seq: 6 } },
  { says: "another digest", head: { ...head, digest: digest.replace("0", "1") } },
  { says: "another device's name", head: { ...head, device: theirs.device } },
  { says: "another device's key", head: { ...head, key: theirs.publicKey } },
  {
    says: "another device's name and key",
    head: { ...head, device: theirs.device, key: theirs.publicKey },
  },
  { says: "another device's signature", head: { ...head, signature: theirHead.signature } },
  // Signed by who sends it, in the name of another.
  { says: "a stolen name", head: { ...theirHead, device: ours.device } },
])("[verify-head 1] $says is refused", async ({ head: changed }) => {
  expect(await verifyHead(head)).toBe(true);
  expect(await verifyHead(changed)).toBe(false);
});

test("[verify-head 1] one who signs in another's name with his own key is refused", async () => {
  const named = { run, device: ours.device, seq: 7, digest };
  const signature = await signText(theirs.privateKey, headText(named));
  expect(await verifyHead({ ...named, key: theirs.publicKey, signature })).toBe(false);
});

test.each([
  { says: "null", value: null },
  { says: "a text", value: "head" },
  { says: "an empty object", value: {} },
  { says: "one member more", value: { ...head, more: 1 } },
  { says: "a seq that is no number", value: { ...head, seq: Number.NaN } },
  { says: "a seq as text", value: { ...head, seq: "7" } },
  { says: "a lone surrogate", value: { ...head, run: "\ud800" } },
  { says: "a key that is no point", value: { ...head, key: `B${"_".repeat(86)}` } },
  { says: "a key with other last bits", value: { ...head, key: `${head.key.slice(0, -1)}-` } },
  { says: "no signature", value: { ...head, signature: "" } },
])("[verify-head 2] $says: no, and no error", async ({ value }) => {
  expect(await verifyHead(value as SignedHead)).toBe(false);
});
