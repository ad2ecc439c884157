import { expect, test } from "vitest";
import type { RunId } from "../../../../machines/record/ids.ts";
import { createDeviceKey } from "../../../../workers/keys/device-key.ts";
import { signHead } from "../../../../workers/keys/sign-head.ts";
import { verifyHead } from "../../../../workers/keys/verify-head.ts";

const digest = "0123456789abcdef".repeat(4);

test("[sign-head 1] a head names its device and key, and verifies", async () => {
  const key = await createDeviceKey();
  const run = `${key.device}.one` as RunId;
  const head = await signHead(key, { run, seq: 7, digest });
  const { signature, ...rest } = head;
  expect(rest).toEqual({ run, device: key.device, seq: 7, digest, key: key.publicKey });
  expect(signature).toHaveLength(86);
  expect(await verifyHead(head)).toBe(true);
});

test("[sign-head 1] two signatures of one head differ, and both verify", async () => {
  const key = await createDeviceKey();
  const head = { run: `${key.device}.one` as RunId, seq: 1, digest };
  const [first, second] = await Promise.all([signHead(key, head), signHead(key, head)]);
  expect(first.signature).not.toBe(second.signature);
  expect(await Promise.all([verifyHead(first), verifyHead(second)])).toEqual([true, true]);
});
