// The digests of entries that the hub has, found again from the segments that hold them. They are wanted
// only where somebody sends again what ends within a segment that is there, or another chain.

import { assert } from "../../../machines/base/assert.ts";
import { readSegment } from "../../../machines/sync/segment.ts";
import { sha256Hex } from "../../keys/sha-256.ts";

/**
 * The digests by seq of what these canonical texts of segments hold.
 *
 * Errors: an assertion if a text does not read; what is stored was read when it came in.
 */
export function digestsOfTexts(texts: readonly string[]): ReadonlyMap<number, string> {
  const digests = new Map<number, string>();
  for (const text of texts) {
    const { segment } = readSegment(JSON.parse(text) as unknown, "", sha256Hex);
    assert(segment !== null, "a segment that was taken reads without a fault");
    for (const [index, digest] of segment.digests.entries()) {
      digests.set(segment.fromSeq + index, digest);
    }
  }
  return digests;
}
