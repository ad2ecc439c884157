// Order of entries.
//
// Definition: a *covers* b when a's device had seen b, or a follows b on one device.
// Definition: the *effective time* of an entry is the latest of its corrected time and the
//   effective times of all that it covers.
// [order 1] Every entry of the set is in the result once: in order, or set aside with the reason.
// [order 2] If a covers b, b comes first; an entry that was seen but is not in the set is no bar.
// [order 3] The order depends on the set alone: not on arrival, repetition or grouping.
// [order 4] Effective times never fall along the order; among equal ones the device decides.
// [order 5] Of two different entries with one name (a fork), the one whose text is less is kept;
//   the stand-in for a withheld entry gives way to the entry itself.
// [order 6] What comes after a gap in its device's seqs is set aside until the gap fills.
// Claims to have seen each other's later entries, which only a lying device makes, would bar each
// other for ever; then the earliest of the barred comes next, so that [order 1] holds.

import { assert } from "../base/assert.ts";
import { createHeap } from "../base/heap.ts";
import type { Heap } from "../base/heap.ts";
import { correctedTimes } from "./corrected-time.ts";
import { entryText } from "./digest-entry.ts";
import type { Entry } from "./entry.ts";
import type { DeviceId } from "./ids.ts";

/** An entry with its effective time, milliseconds since 1970 on the hub's clock. */
export type OrderedEntry = { readonly entry: Entry; readonly atMs: number };

/** An entry that has no place in the order, and why. */
export type SetAsideEntry = { readonly entry: Entry; readonly because: "gap" | "fork" };

/** A set of entries in order. */
export type OrderedEntries = {
  readonly ordered: readonly OrderedEntry[];
  /** By device, seq and text. */
  readonly setAside: readonly SetAsideEntry[];
};

/**
 * Orders the entries of one run.
 *
 * Errors: none.
 */
export function orderEntries(entries: Iterable<Entry>): OrderedEntries {
  const setAside: SetAsideEntry[] = [];
  const devices = [...groupByDevice(entries)]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([device, listed]) => ({ device, chain: cleanChain(listed, setAside) }));
  return { ordered: mergeChains(devices), setAside };
}

function groupByDevice(entries: Iterable<Entry>): Map<DeviceId, Entry[]> {
  const entriesByDevice = new Map<DeviceId, Entry[]>();
  for (const entry of entries) {
    const listed = entriesByDevice.get(entry.device);
    if (listed === undefined) entriesByDevice.set(entry.device, [entry]);
    else listed.push(entry);
  }
  return entriesByDevice;
}

// One device's entries by seq from 1 without gaps; the rest goes to `setAsideMutable`.
function cleanChain(listed: Entry[], setAsideMutable: SetAsideEntry[]): Entry[] {
  if (listed.some((entry, index) => entry.seq !== index + 1)) {
    listed.sort((a, b) => a.seq - b.seq);
  }
  const chain: Entry[] = [];
  let index = 0;
  while (index < listed.length) {
    const { seq } = listed[index] as Entry;
    let end = index + 1;
    while (end < listed.length && (listed[end] as Entry).seq === seq) end += 1;
    const [kept, ...forked] =
      end === index + 1 ? [listed[index] as Entry] : distinct(listed.slice(index, end));
    const follows = seq === chain.length + 1;
    if (follows) chain.push(kept as Entry);
    else setAsideMutable.push({ entry: kept as Entry, because: "gap" });
    for (const entry of forked) setAsideMutable.push({ entry, because: "fork" });
    index = end;
  }
  return chain;
}

// The different entries among those of one name, the one to keep first. A stand-in is no fork of
// the entry that it stands for, which can't be told from here: all of them give way.
function distinct(sameName: readonly Entry[]): Entry[] {
  const entriesByText = new Map<string, Entry>();
  const full = sameName.filter((entry) => entry.body.kind !== "entry.withheld");
  for (const entry of full.length > 0 ? full : sameName) entriesByText.set(entryText(entry), entry);
  return [...entriesByText].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, entry]) => entry);
}

type Chain = {
  readonly entries: readonly Entry[];
  readonly times: readonly number[];
  /** Effective times of those already in order; its length is their number. */
  readonly effective: number[];
  /** Chains whose next entry waits until this one has so many entries in order. */
  waiting: { readonly chain: number; readonly needs: number }[];
};

type Merging = {
  readonly chains: readonly Chain[];
  readonly chainNumbers: ReadonlyMap<string, number>;
  /** Next entries of chains that nothing bars. */
  readonly ready: Heap<Next>;
  readonly ordered: OrderedEntry[];
};

type Next = { readonly chain: number; readonly atMs: number };

// At most one entry of each chain is ever in the heap, so that it stays small.
function mergeChains(
  devices: readonly { readonly device: DeviceId; readonly chain: readonly Entry[] }[],
): OrderedEntry[] {
  const merging: Merging = {
    chains: devices.map(({ chain }) => ({
      entries: chain,
      times: correctedTimes(chain),
      effective: [],
      waiting: [],
    })),
    chainNumbers: new Map(devices.map(({ device }, index) => [device, index])),
    ready: createHeap<Next>((a, b) => a.atMs < b.atMs || (a.atMs === b.atMs && a.chain < b.chain)),
    ordered: [],
  };
  const total = merging.chains.reduce((sum, { entries }) => sum + entries.length, 0);
  for (const index of merging.chains.keys()) queueNext(merging, index);
  while (merging.ordered.length < total) {
    const next = merging.ready.pop();
    if (next === undefined) takeEarliestBarred(merging);
    else takeNext(merging, next);
  }
  return merging.ordered;
}

// Puts a chain's next entry into the heap, or has it wait for the first that bars it.
function queueNext(merging: Merging, chainNumber: number): void {
  const chain = merging.chains[chainNumber] as Chain;
  const place = chain.effective.length;
  const entry = chain.entries[place];
  if (entry === undefined) return;
  let atMs = Math.max(chain.times[place] as number, chain.effective[place - 1] ?? -Infinity);
  const { seen } = entry;
  for (const device in seen) {
    const otherNumber = merging.chainNumbers.get(device);
    if (otherNumber === undefined || otherNumber === chainNumber) continue;
    const other = merging.chains[otherNumber] as Chain;
    const needs = Math.min(seen[device as DeviceId] as number, other.entries.length);
    if (other.effective.length < needs) {
      other.waiting.push({ chain: chainNumber, needs });
      return;
    }
    atMs = Math.max(atMs, other.effective[needs - 1] ?? -Infinity);
  }
  merging.ready.push({ chain: chainNumber, atMs });
}

function takeNext(merging: Merging, next: Next): void {
  const chain = merging.chains[next.chain] as Chain;
  const entry = chain.entries[chain.effective.length] as Entry;
  chain.effective.push(next.atMs);
  merging.ordered.push({ entry, atMs: next.atMs });
  const { waiting } = chain;
  if (waiting.some(({ needs }) => needs <= chain.effective.length)) {
    chain.waiting = waiting.filter(({ needs }) => needs > chain.effective.length);
    for (const waiter of waiting) {
      if (waiter.needs <= chain.effective.length) queueNext(merging, waiter.chain);
    }
  }
  queueNext(merging, next.chain);
}

// Every chain that is left waits for another: takes the earliest, and lets all of them look again.
function takeEarliestBarred(merging: Merging): void {
  let earliest: Next | undefined;
  const lastAtMs = merging.ordered.at(-1)?.atMs ?? -Infinity;
  for (const [number, chain] of merging.chains.entries()) {
    const place = chain.effective.length;
    if (place === chain.entries.length) continue;
    const atMs = Math.max(chain.times[place] as number, lastAtMs);
    if (earliest === undefined || atMs < earliest.atMs) earliest = { chain: number, atMs };
  }
  for (const chain of merging.chains) chain.waiting = [];
  assert(earliest !== undefined, "a chain is left while entries are");
  takeNext(merging, earliest);
  for (const number of merging.chains.keys()) {
    if (number !== earliest.chain) queueNext(merging, number);
  }
}
