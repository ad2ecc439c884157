// Whether a segment that came in is taken: one judgement for every adapter.
// It keeps [storage 4] to [storage 7].
//
// As each entry holds the digest of the one before it, two chains that are the same at a seq are the same
// below it. So most judgements need no digest but that of the chain's end.

import { assert } from "../../../machines/base/assert.ts";
import type { IncomingSegment, RefusedSegmentCode } from "./record-storage.ts";

/** How far a device's chain goes at the hub. */
export type ChainEnd = {
  /** Highest seq that is there; 0: none. */
  readonly have: number;
  /** Digest of that entry; null: none. */
  readonly digest: string | null;
};

/** The chain of which the hub has nothing. */
export const emptyChain: ChainEnd = { have: 0, digest: null };

/** What is to be done with a segment. */
export type Judgement =
  /** Its entries from that seq on are new. */
  | { readonly does: "take"; readonly fromSeq: number }
  /** All of it is there. */
  | { readonly does: "nothing" }
  | { readonly does: "refuse"; readonly seq: number; readonly code: RefusedSegmentCode };

/**
 * The entries that are there whose digests must be known to judge the segment; null: none.
 *
 * Errors: none.
 */
export function digestsWanted(
  { fromSeq, toSeq, digests }: IncomingSegment,
  { have, digest }: ChainEnd,
): { readonly fromSeq: number; readonly toSeq: number } | null {
  if (fromSeq > have) return null;
  if (toSeq >= have && digests[have - fromSeq] === digest) return null;
  return { fromSeq, toSeq: Math.min(toSeq, have) };
}

/**
 * Judges a segment.
 *
 * @param digestAt digests of what is there, of the entries that `digestsWanted` names
 * Errors: assertions.
 */
export function judgeSegment(
  segment: IncomingSegment,
  chain: ChainEnd,
  digestAt: (seq: number) => string | undefined,
): Judgement {
  const { fromSeq, toSeq, prev, digests } = segment;
  assert(fromSeq >= 1, "a segment begins at a seq from 1");
  assert(digests.length === toSeq - fromSeq + 1, "each entry of a segment has a digest");
  if (fromSeq > chain.have + 1) return { does: "refuse", seq: fromSeq, code: "gap" };
  if (fromSeq === chain.have + 1) {
    if (prev !== chain.digest) return { does: "refuse", seq: fromSeq, code: "chain" };
    return { does: "take", fromSeq };
  }
  const lastWanted = digestsWanted(segment, chain)?.toSeq ?? 0;
  for (let seq = fromSeq; seq <= lastWanted; seq += 1) {
    const there = digestAt(seq);
    assert(there !== undefined, "the digest of an entry that is there is known");
    if (there !== digests[seq - fromSeq]) return { does: "refuse", seq, code: "fork" };
  }
  return toSeq > chain.have ? { does: "take", fromSeq: chain.have + 1 } : { does: "nothing" };
}
