// Which of the entries that came in are taken: one judgement for every adapter.
// It keeps [storage 4] to [storage 7].

import type { IncomingEntry, RefusedEntryCode } from "./record-storage.ts";

/** What is to be done with the entries of one call. */
export type Judgement = {
  /** To be listed, in this order. */
  readonly take: readonly IncomingEntry[];
  readonly setAside: readonly IncomingEntry[];
  readonly refused: { readonly seq: number; readonly code: RefusedEntryCode } | null;
};

/**
 * Judges entries of one device, in the order in which they came.
 *
 * @param have the device's highest seq that is there; 0 before the first
 * @param digestBySeq digest of an entry that is there already
 * Errors: none.
 */
export function judgeEntries(
  incoming: readonly IncomingEntry[],
  have: number,
  digestBySeq: (seq: number) => string | undefined,
): Judgement {
  const take: IncomingEntry[] = [];
  const digestNow = (seq: number) => take[seq - have - 1]?.digest ?? digestBySeq(seq);
  for (const [index, candidate] of incoming.entries()) {
    const code = codeAgainst(candidate, have + take.length, digestNow);
    if (code === "there") continue;
    if (code === "next") {
      take.push(candidate);
      continue;
    }
    const setAside = code === "gap" ? [] : incoming.slice(index);
    return { take, setAside, refused: { seq: candidate.entry.seq, code } };
  }
  return { take, setAside: [], refused: null };
}

function codeAgainst(
  { entry, digest }: IncomingEntry,
  have: number,
  digestBySeq: (seq: number) => string | undefined,
): RefusedEntryCode | "there" | "next" {
  if (entry.seq <= have) return digestBySeq(entry.seq) === digest ? "there" : "fork";
  if (entry.seq > have + 1) return "gap";
  const digestBefore = entry.seq === 1 ? null : digestBySeq(entry.seq - 1);
  return entry.prev === digestBefore ? "next" : "chain";
}
