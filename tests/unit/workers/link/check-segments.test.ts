import { expect, test } from "vitest";
import { entryDigest } from "../../../../machines/record/digest-entry.ts";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";
import { createSegment } from "../../../../machines/sync/segment.ts";
import { sha256Hex } from "../../../../workers/keys/sha-256.ts";
import { signHead } from "../../../../workers/keys/sign-head.ts";
import { checkSegments } from "../../../../workers/link/check-segments.ts";
import { aChain, otherRun, theRun } from "../../../support/a-database.ts";
import { fixedKey } from "../../../support/fixed-keys.ts";

async function aSegment(run: RunId = theRun, names?: DeviceId) {
  const key = await fixedKey(0);
  const entries = aChain(names ?? key.device, ["a", "b"], run);
  const last = entries[1]!;
  const head = await signHead(key, { run, seq: 2, digest: entryDigest(last, sha256Hex) });
  return createSegment(entries, { ...head, device: last.device });
}

test("[check-segments 1] a segment that its device signed passes", async () => {
  const { segments, forged, faults } = await checkSegments([await aSegment()], theRun);
  expect(segments.map(({ fromSeq, head }) => [fromSeq, head.seq])).toEqual([[1, 2]]);
  expect([forged, faults]).toEqual([[], []]);
});

test("[check-segments 1] [segment 2] [signed-head 1] [signed-head 2] in another's name, or with another's signature, it is forged", async () => {
  const { device, publicKey } = await fixedKey(1);
  const right = await aSegment();
  const elsewhere = await aSegment(otherRun);
  const wrong = [
    await aSegment(theRun, device),
    { ...right, head: { ...right.head, key: publicKey } },
    { ...right, head: { ...right.head, signature: elsewhere.head.signature } },
  ];
  const { segments, forged, faults } = await checkSegments(wrong, theRun);
  expect(faults).toEqual([]);
  expect(segments).toEqual([]);
  expect(forged).toHaveLength(3);
});

test("[check-segments 1] one that is not whole, or of another run, is reported with its path", async () => {
  const right = await aSegment();
  const broken = { ...right, head: { ...right.head, digest: "0".repeat(64) } };
  const { faults } = await checkSegments([right, broken, await aSegment(otherRun)], theRun);
  expect(faults.map(({ path, code }) => [path, code])).toEqual([
    ["/segments/1/head/digest", "broken-chain"],
    ["/segments/2/head/run", "foreign-run"],
  ]);
});
