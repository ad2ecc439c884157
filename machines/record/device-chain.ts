// One device's entries as they come in: the chain without gaps, and what is beside it.
//
// [device-chain 1] The chain holds the device's entries by seq from 1 up to the first gap.
// [device-chain 2] What was added before changes nothing.
// The rules of forks, stand-ins and gaps are those of order-entries.ts.

import { correctedTimes, isAboutClock, timeAfter } from "./corrected-time.ts";
import type { ClockTail } from "./corrected-time.ts";
import { entryText } from "./digest-entry.ts";
import type { Entry } from "./entry.ts";
import type { DeviceId } from "./ids.ts";
import type { OrderedEntry, SetAsideEntry } from "./order-entries.ts";

/** The entries of one device. */
export type DeviceChain = {
  readonly device: DeviceId;
  readonly entries: Entry[];
  /** Corrected times and their errors, as corrected-time.ts has them, once they were brought up. */
  timesMs: number[];
  errorsMs: number[] | null;
  tail: ClockTail;
  /** What each entry's time is taken to be: settle-claims.ts. */
  claimsMs: number[];
  /** What the claims of a device that is no reference are more than its times. */
  shiftMs: number;
  /** Those of the chain that are in order so far. */
  readonly placed: OrderedEntry[];
  /** By seq: forks of the chain's entries, and what comes after a gap; the one to keep first. */
  readonly beside: Map<number, readonly Entry[]>;
};

/** A device of which nothing is known yet. */
export function emptyChain(device: DeviceId): DeviceChain {
  return {
    device,
    entries: [],
    timesMs: [],
    errorsMs: null,
    tail: { offsetMs: 0, anchor: null },
    claimsMs: [],
    shiftMs: 0,
    placed: [],
    beside: new Map(),
  };
}

/** Adds an entry; returns the first index of the chain at which it changed, Infinity if nowhere. */
export function addToChain(chainMutable: DeviceChain, entry: Entry): number {
  const { entries, beside } = chainMutable;
  const { seq } = entry;
  const held = entries[seq - 1];
  if (held === entry) return Infinity;
  const rivals = beside.size === 0 ? undefined : beside.get(seq);
  if (held === undefined && seq !== entries.length + 1) {
    beside.set(seq, distinct([...(rivals ?? []), entry]));
    return Infinity;
  }
  if (held === undefined) {
    append(chainMutable, rivals === undefined ? [entry] : distinct([...rivals, entry]));
    const from = entries.length - 1;
    while (beside.size > 0) {
      const following = beside.get(entries.length + 1);
      if (following === undefined) break;
      append(chainMutable, following);
    }
    return from;
  }
  const [kept, ...forked] = distinct([held, ...(rivals ?? []), entry]);
  if (forked.length > 0) beside.set(seq, forked);
  else beside.delete(seq);
  if (kept === held || kept === undefined || entryText(kept) === entryText(held)) return Infinity;
  entries[seq - 1] = kept;
  return seq - 1;
}

/** What is beside the chain, by seq and text. */
export function setAsideOfChain({ entries, beside }: DeviceChain): SetAsideEntry[] {
  const setAside: SetAsideEntry[] = [];
  for (const [seq, rivals] of [...beside].sort(([a], [b]) => a - b)) {
    const isPast = seq >= 1 && seq <= entries.length && Number.isInteger(seq);
    for (const [place, entry] of rivals.entries()) {
      setAside.push({ entry, because: isPast || place > 0 ? "fork" : "gap" });
    }
  }
  return setAside;
}

/**
 * Brings the corrected times up to the entries; returns the first index at which a time or an error
 * changed, at most `from`.
 */
export function bringUpTimes(chainMutable: DeviceChain, from: number): number {
  const { entries, timesMs, errorsMs, tail } = chainMutable;
  if (from === timesMs.length && from > 0 && !hasClockEntry(entries, from)) {
    for (let index = from; index < entries.length; index += 1) {
      const { atMs, errorMs } = timeAfter(tail, (entries[index] as Entry).wallMs);
      timesMs.push(atMs);
      errorsMs?.push(errorMs);
    }
    return from;
  }
  const now = correctedTimes(entries);
  chainMutable.timesMs = now.timesMs;
  chainMutable.errorsMs = now.errorsMs;
  chainMutable.tail = now.tail;
  if ((errorsMs === null) !== (now.errorsMs === null)) return 0;
  let changed = 0;
  while (
    changed < from &&
    timesMs[changed] === now.timesMs[changed] &&
    errorsMs?.[changed] === now.errorsMs?.[changed]
  ) {
    changed += 1;
  }
  return changed;
}

function append(chainMutable: DeviceChain, [kept, ...forked]: readonly Entry[]): void {
  const { entries, beside } = chainMutable;
  if (kept === undefined) return;
  entries.push(kept);
  if (forked.length > 0) beside.set(kept.seq, forked);
  else if (beside.size > 0) beside.delete(kept.seq);
}

// The different entries among those of one name, the one to keep first. A stand-in is no fork of
// the entry that it stands for, which can't be told from here: all of them give way.
function distinct(sameName: readonly Entry[]): readonly Entry[] {
  const full = sameName.filter((entry) => entry.body.kind !== "entry.withheld");
  const entriesByText = new Map<string, Entry>();
  for (const entry of full.length > 0 ? full : sameName) {
    const text = entryText(entry);
    if (!entriesByText.has(text)) entriesByText.set(text, entry);
  }
  return [...entriesByText].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, entry]) => entry);
}

function hasClockEntry(entries: readonly Entry[], from: number): boolean {
  for (let index = from; index < entries.length; index += 1) {
    if (isAboutClock(entries[index] as Entry)) return true;
  }
  return false;
}
