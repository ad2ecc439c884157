// The order of entries, kept as entries come in. Its rules are those of order-entries.ts.
//
// Definition: the *first time affected* by an addition is the earliest of the claims and effective
//   times, old and new, of the entries that came, gave way or had their time changed, and of those
//   that had seen an entry which only now is there.
// [running-order 1] The order is the same as if all had come at once.
// [running-order 2] What lies before the first time affected keeps its place: an effective time is
//   never earlier than those that it depends on. The rest is merged anew.

import { createHeap } from "../base/heap.ts";
import type { Heap } from "../base/heap.ts";
import { addToChain, bringUpTimes, emptyChain, setAsideOfChain } from "./device-chain.ts";
import type { DeviceChain } from "./device-chain.ts";
import type { Entry } from "./entry.ts";
import type { DeviceId } from "./ids.ts";
import { claimToOverlook } from "./overlook-claim.ts";
import type { Claim } from "./overlook-claim.ts";
import type { OrderedEntry, SetAsideEntry } from "./order-entries.ts";
import { findReferences, settleClaims, settleNewClaims } from "./settle-claims.ts";
import type { References } from "./settle-claims.ts";

/** An order that entries can be added to. */
export type RunningOrder = {
  readonly chains: Map<DeviceId, DeviceChain>;
  references: References;
  readonly ordered: OrderedEntry[];
  /** By device: the earliest effective time of an entry that had seen more of it than is here. */
  readonly missedSinceMs: Map<DeviceId, number>;
  /** The first place that was taken although an entry seen by it comes later; Infinity: none. */
  barredFrom: number;
};

/** An order of nothing. */
export function emptyOrder(): RunningOrder {
  return {
    chains: new Map(),
    references: { devices: new Set(), areSought: false },
    ordered: [],
    missedSinceMs: new Map(),
    barredFrom: Infinity,
  };
}

/**
 * Adds entries of one run; returns the first place at which the order is not what it was.
 *
 * Errors: none.
 */
export function addToOrder(orderMutable: RunningOrder, entries: Iterable<Entry>): number {
  const changes = takeIn(orderMutable.chains, entries);
  if (changes.size === 0) return orderMutable.ordered.length;
  const fromMs = firstTimeAffected(orderMutable, changes);
  const place = Math.min(placeOfTime(orderMutable.ordered, fromMs), orderMutable.barredFrom);
  const before = takeOff(orderMutable, place);
  mergeOn(orderMutable);
  return firstDifference(before, orderMutable.ordered, place);
}

/** What has no place in the order, by device, seq and text. */
export function setAsideOf({ chains }: RunningOrder): SetAsideEntry[] {
  const devices = [...chains.values()].sort((a, b) => (a.device < b.device ? -1 : 1));
  return devices.flatMap(setAsideOfChain);
}

/** For each chain that is not what it was: the first index at which it is not. */
type Changes = Map<DeviceChain, number>;

function takeIn(chainsMutable: RunningOrder["chains"], entries: Iterable<Entry>): Changes {
  const changes: Changes = new Map();
  let chain: DeviceChain | undefined;
  let from = Infinity;
  const keepChange = (): void => {
    if (chain === undefined || from === Infinity) return;
    changes.set(chain, Math.min(from, changes.get(chain) ?? Infinity));
  };
  for (const entry of entries) {
    if (chain?.device !== entry.device) {
      keepChange();
      from = Infinity;
      chain = chainsMutable.get(entry.device) ?? emptyChain(entry.device);
      chainsMutable.set(entry.device, chain);
    }
    from = Math.min(from, addToChain(chain, entry));
  }
  keepChange();
  return changes;
}

function firstTimeAffected(orderMutable: RunningOrder, changes: Changes): number {
  const { missedSinceMs } = orderMutable;
  let fromMs = Infinity;
  const missed = [...changes.keys()].some(({ device }) => missedSinceMs.has(device));
  const changedFrom = bringUpClaims(orderMutable, changes, missed);
  for (const [chain, from] of changedFrom) {
    const { device, claimsMs, placed } = chain;
    fromMs = Math.min(fromMs, missedSinceMs.get(device) ?? Infinity);
    missedSinceMs.delete(device);
    for (let index = from; index < claimsMs.length; index += 1) {
      const wasMs = placed[index]?.atMs ?? Infinity;
      fromMs = Math.min(fromMs, wasMs, claimsMs[index] as number);
    }
  }
  return fromMs;
}

// Brings times and claims up to the entries. Returns, for each chain of which something changed,
// the first index at which its entry, claim or error did.
function bringUpClaims(orderMutable: RunningOrder, changes: Changes, missed: boolean): Changes {
  const { chains } = orderMutable;
  const changed: Changes = new Map();
  let isAtEnds = !missed;
  for (const [chain, from] of changes) {
    const wasAlias = chain.claimsMs === chain.timesMs;
    const changedFrom = bringUpTimes(chain, from);
    if (changedFrom < chain.placed.length || from === 0) isAtEnds = false;
    if (wasAlias) chain.claimsMs = chain.timesMs;
    changed.set(chain, changedFrom);
  }
  const references = findReferences(chains);
  const areSame = isSame(references, orderMutable.references);
  orderMutable.references = references;
  if (areSame && isAtEnds) {
    const fit = [...changed].map(([chainMutable, from]) =>
      settleNewClaims(chains, references, { chainMutable, from }),
    );
    if (!fit.includes(false)) return changed;
  }
  const claimsBefore = new Map([...chains.values()].map((chain) => [chain, chain.claimsMs]));
  settleClaims(chains, references);
  for (const [chain, before] of claimsBefore) {
    const from = Math.min(changed.get(chain) ?? Infinity, firstDifferent(before, chain.claimsMs));
    if (from < chain.claimsMs.length) changed.set(chain, from);
  }
  return changed;
}

function isSame(a: References, b: References): boolean {
  if (a.areSought !== b.areSought || a.devices.size !== b.devices.size) return false;
  for (const device of a.devices) if (!b.devices.has(device)) return false;
  return true;
}

function firstDifferent(before: readonly number[], after: readonly number[]): number {
  if (before === after) return Infinity;
  let index = 0;
  while (index < after.length && before[index] === after[index]) index += 1;
  return index;
}

function placeOfTime(ordered: readonly OrderedEntry[], ms: number): number {
  let [from, end] = [0, ordered.length];
  while (from < end) {
    const middle = (from + end) >> 1;
    if ((ordered[middle] as OrderedEntry).atMs < ms) from = middle + 1;
    else end = middle;
  }
  return from;
}

// Takes the order from a place on apart again.
function takeOff(orderMutable: RunningOrder, place: number): readonly OrderedEntry[] {
  const taken = orderMutable.ordered.splice(place);
  for (const { entry } of taken) orderMutable.chains.get(entry.device)?.placed.pop();
  if (orderMutable.barredFrom >= place) orderMutable.barredFrom = Infinity;
  return taken;
}

function firstDifference(
  before: readonly OrderedEntry[],
  ordered: readonly OrderedEntry[],
  place: number,
): number {
  let passed = 0;
  while (passed < before.length) {
    const [was, is] = [before[passed] as OrderedEntry, ordered[place + passed] as OrderedEntry];
    if (was.entry !== is.entry || was.atMs !== is.atMs || was.errorMs !== is.errorMs) break;
    passed += 1;
  }
  return place + passed;
}

type Merging = {
  readonly order: RunningOrder;
  /** Next entries of chains that nothing bars: at most one of each chain, so it stays small. */
  readonly ready: Heap<Next>;
  /** By device: whose next entries wait until it has so many entries in order. */
  readonly waiting: Map<DeviceChain, { readonly chain: DeviceChain; readonly needs: number }[]>;
  /** Names of claims that bar nothing any more. */
  readonly overlooked: Set<string>;
  /** What is queued from now on comes no earlier than that: the latest time before a claim was overlooked. */
  notBeforeMs: number;
  left: number;
};

type Next = { readonly chain: DeviceChain; readonly atMs: number };

function mergeOn(orderMutable: RunningOrder): void {
  const chains = [...orderMutable.chains.values()];
  const merging: Merging = {
    order: orderMutable,
    ready: createHeap<Next>(
      (a, b) => a.atMs < b.atMs || (a.atMs === b.atMs && a.chain.device < b.chain.device),
    ),
    waiting: new Map(),
    overlooked: new Set(),
    notBeforeMs: -Infinity,
    left: chains.reduce((sum, { entries, placed }) => sum + entries.length - placed.length, 0),
  };
  for (const chain of chains) queueNext(merging, chain);
  while (merging.left > 0) {
    const next = merging.ready.pop();
    if (next === undefined) overlookClaim(merging, chains);
    else takeNext(merging, next);
  }
}

// Puts a chain's next entry among the ready ones, or has it wait for the first that bars it.
function queueNext(merging: Merging, chain: DeviceChain): void {
  const place = chain.placed.length;
  const entry = chain.entries[place];
  if (entry === undefined) return;
  let atMs = Math.max(chain.claimsMs[place] as number, chain.placed[place - 1]?.atMs ?? -Infinity);
  const { seen } = entry;
  for (const device in seen) {
    const other = merging.order.chains.get(device as DeviceId);
    if (other === undefined || other === chain) continue;
    const needs = Math.min(seen[device as DeviceId] as number, other.entries.length);
    if (merging.overlooked.size > 0 && merging.overlooked.has(claimName(chain, device))) continue;
    if (other.placed.length < needs) {
      const waiting = merging.waiting.get(other);
      if (waiting === undefined) merging.waiting.set(other, [{ chain, needs }]);
      else waiting.push({ chain, needs });
      return;
    }
    atMs = Math.max(atMs, other.placed[needs - 1]?.atMs ?? -Infinity);
  }
  merging.ready.push({ chain, atMs: Math.max(atMs, merging.notBeforeMs) });
}

function takeNext(merging: Merging, { chain, atMs }: Next): void {
  const place = chain.placed.length;
  const entry = chain.entries[place] as Entry;
  const ownErrorMs = chain.errorsMs?.[place];
  const laterMs = atMs - (chain.claimsMs[place] as number);
  const errorMs = ownErrorMs === undefined ? null : ownErrorMs + laterMs;
  const placed = { entry, atMs, errorMs };
  chain.placed.push(placed);
  merging.order.ordered.push(placed);
  merging.left -= 1;
  noteMissed(merging.order, chain, placed);
  const waiting = merging.waiting.get(chain);
  if (waiting?.some(({ needs }) => needs <= chain.placed.length) === true) {
    const rest = waiting.filter(({ needs }) => needs > chain.placed.length);
    merging.waiting.set(chain, rest);
    for (const waiter of waiting) {
      if (waiter.needs <= chain.placed.length) queueNext(merging, waiter.chain);
    }
  }
  queueNext(merging, chain);
}

// An entry that had seen what is not here yet must look again when that comes.
function noteMissed(orderMutable: RunningOrder, chain: DeviceChain, placed: OrderedEntry): void {
  const { missedSinceMs } = orderMutable;
  const { seen } = placed.entry;
  for (const device in seen) {
    const id = device as DeviceId;
    const held = orderMutable.chains.get(id);
    if (held === chain || (held?.entries.length ?? 0) >= (seen[id] as number)) continue;
    missedSinceMs.set(id, Math.min(missedSinceMs.get(id) ?? Infinity, placed.atMs));
  }
}

// Every chain that is left waits for another: one claim is overlooked, and all of them look again.
function overlookClaim(mergingMutable: Merging, chains: readonly DeviceChain[]): void {
  const left = chains.filter(({ placed, entries }) => placed.length < entries.length);
  const claims = new Map(left.map((chain) => [chain, barringClaims(mergingMutable, chain)]));
  const { chain, other } = claimToOverlook(claims);
  const { order, overlooked, waiting } = mergingMutable;
  overlooked.add(claimName(chain, other.device));
  order.barredFrom = Math.min(order.barredFrom, order.ordered.length);
  mergingMutable.notBeforeMs = order.ordered.at(-1)?.atMs ?? -Infinity;
  waiting.clear();
  for (const one of left) queueNext(mergingMutable, one);
}

function barringClaims({ order, overlooked }: Merging, chain: DeviceChain): Claim[] {
  const claims: Claim[] = [];
  const seen = chain.entries[chain.placed.length]?.seen ?? {};
  for (const device in seen) {
    const other = order.chains.get(device as DeviceId);
    if (other === undefined || other === chain) continue;
    const needs = Math.min(seen[device as DeviceId] as number, other.entries.length);
    if (other.placed.length >= needs || overlooked.has(claimName(chain, device))) continue;
    claims.push({ chain, other, needs });
  }
  return claims;
}

// Of the chain's next entry, about another device.
function claimName({ device, placed }: DeviceChain, about: string): string {
  return `${device} ${placed.length} ${about}`;
}
