// Entries as a device of the run that means harm, or whose app is broken, would chain, pack and sign them.

import type { Entry } from "../../../machines/record/entry.ts";
import { chainDigest } from "../../../machines/record/chain-digest.ts";
import { createSegment } from "../../../machines/sync/segment.ts";
import type { Segment } from "../../../machines/sync/segment.ts";
import type { DeviceKey } from "../../../workers/keys/device-key.ts";
import { sha256Hex } from "../../../workers/keys/sha-256.ts";
import { signHead } from "../../../workers/keys/sign-head.ts";

/**
 * A segment of the entries, each following on the one before, its head signed; null: what stands in them can
 * neither be digested nor packed.
 */
export async function signedChain(
  entries: readonly Entry[],
  key: Pick<DeviceKey, "device" | "privateKey" | "publicKey">,
): Promise<Segment | null> {
  const chained: Entry[] = [];
  try {
    for (const entry of entries) {
      const before = chained.at(-1);
      const prev = before === undefined ? entry.prev : chainDigest(before, sha256Hex);
      chained.push({ ...entry, prev });
    }
    const last = chained.at(-1) as Entry;
    const { run, seq } = last;
    const head = await signHead(key, { run, seq, digest: chainDigest(last, sha256Hex) });
    return createSegment(chained, head);
  } catch {
    return null;
  }
}
