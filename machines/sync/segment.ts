// A segment: a stretch of one device's chain with the signed head that covers it. Entries go over the
// wire and into bundles in no other form.
//
// [segment 1] What is read of a segment is whole: every entry is well formed, each follows on the one
//   before, and the last has the digest that the head names.
// [segment 2] Whether the head's signature is good, and what comes before the segment, is checked by who
//   takes it in.
// [segment 3] A device's `prev` and digests are found again, never believed.

import { assert } from "../base/assert.ts";
import type { Fault } from "../procedure/fault.ts";
import { nullable, object, readShape } from "../procedure/read-shape.ts";
import type { Entry } from "../record/entry.ts";
import { chainDigest } from "../record/chain-digest.ts";
import { packedEntriesShape, packEntries, unpackEntries } from "./pack-entries.ts";
import type { PackedEntries } from "./pack-entries.ts";
import { signedHeadShape } from "./signed-head.ts";
import type { SignedHead } from "./signed-head.ts";
import { digestShape } from "./wire-shapes.ts";

/** A segment as it travels. */
export type Segment = {
  /** Run, device and signature; the head is the last entry of the segment. */
  readonly head: SignedHead;
  /** Digest of the entry before the first; null: the segment begins the chain. */
  readonly prev: string | null;
  readonly entries: PackedEntries;
};

/** A segment as it was read. */
export type ReadSegment = {
  readonly head: SignedHead;
  readonly fromSeq: number;
  readonly prev: string | null;
  readonly entries: readonly Entry[];
  /** Of each entry. */
  readonly digests: readonly string[];
};

/** A segment of entries that follow on each other, the last being the head's. Errors: assertions. */
export function createSegment(entries: readonly Entry[], head: SignedHead): Segment {
  const [first] = entries;
  assert(first !== undefined, "a segment has an entry");
  assert(entries.at(-1)?.seq === head.seq, "a segment ends at its head");
  return { head, prev: first.prev, entries: packEntries(entries) };
}

/**
 * Reads a segment.
 *
 * @param digestHex SHA-256 of a text's UTF-8 bytes, as 64 lower-case hexadecimal digits
 * @returns the segment, or null and every fault, with paths from `path`
 * Errors: none; faults are data.
 */
export function readSegment(
  value: unknown,
  path: string,
  digestHex: (text: string) => string,
): { readonly segment: ReadSegment | null; readonly faults: readonly Fault[] } {
  const { value: shaped, faults } = readShape(segmentShape, value);
  if (shaped === null) return { segment: null, faults: faults.map((one) => under(path, one)) };
  const { head, prev } = shaped;
  const fromSeq = head.seq - shaped.entries.bodies.length + 1;
  const ends = endFaults(shaped, fromSeq);
  if (ends.length > 0) return { segment: null, faults: ends.map((one) => under(path, one)) };
  const place = { run: head.run, device: head.device, fromSeq, prev };
  const unpacked = unpackEntries(shaped.entries, place, (entry) => chainDigest(entry, digestHex));
  if (unpacked.faults.length > 0) {
    return { segment: null, faults: unpacked.faults.map((one) => under(`${path}/entries`, one)) };
  }
  const { entries, digests } = unpacked;
  if (digests.at(-1) !== head.digest) {
    return { segment: null, faults: [under(path, brokenChain)] };
  }
  return { segment: { head, fromSeq, prev, entries, digests }, faults: [] };
}

function endFaults({ prev, entries }: Segment, fromSeq: number): Fault[] {
  const mend = "Send it again from the device that packed it.";
  if (entries.bodies.length === 0) {
    const says = "This segment has no entry.";
    return [{ path: "/entries/bodies", code: "packed-wrong", says, mend }];
  }
  if (fromSeq >= 1 && (fromSeq === 1) === (prev === null)) return [];
  const says = "A device's first entry, and no other, follows on none.";
  return [{ path: "/prev", code: "broken-chain", says, mend }];
}

const brokenChain: Fault = {
  path: "/head/digest",
  code: "broken-chain",
  says: "The entries are not those that the device has signed.",
  mend: "Send them again from the device that wrote them.",
};

function under(path: string, fault: Fault): Fault {
  return { ...fault, path: `${path}${fault.path}` };
}

/** The shape of a `Segment`; see `readSegment` for what else must hold. */
export const segmentShape = object({
  head: signedHeadShape,
  prev: nullable(digestShape),
  entries: packedEntriesShape,
});
