// Claims: what each device's times are taken to be, once they are held against each other.
//
// Definition: a *reference* is a device whose clock was checked against the hub's; where none was,
//   the device that opened the run.
// Definition: a *bearing* of another device on a reference is an entry of the one that had seen the
//   other's, and the last that it had seen.
// [settle-claims 1] A reference's claims are its corrected times; nobody else's clock moves them.
// [settle-claims 2] Another device's claims are its corrected times, all shifted alike by the least
//   that its bearings ask for, so that it keeps its own intervals: what it had seen of references
//   is not after it, nor is what references had seen of it before that.
// [settle-claims 3] Where they ask for both, that which a reference saw is not put after the seeing.
// [settle-claims 4] No claim of such a device is later than that of a reference's entry that had
//   seen it: an entry from the future is brought back by the first reference that hears of it.
// [settle-claims 5] Where there is no reference at all, claims are the corrected times.

import type { DeviceChain } from "./device-chain.ts";
import type { DeviceId } from "./ids.ts";

/** The devices of a run whose claims are to be settled. */
export type Chains = ReadonlyMap<DeviceId, DeviceChain>;

/** Which devices are references, and whether some are not. */
export type References = {
  readonly devices: ReadonlySet<DeviceId>;
  /** Whether there is somebody else whose claims they bear on. */
  readonly areSought: boolean;
};

/** The references of a run. */
export function findReferences(chains: Chains): References {
  const checked = new Set<DeviceId>();
  const opening = new Set<DeviceId>();
  for (const [device, { errorsMs, entries }] of chains) {
    if (errorsMs !== null) checked.add(device);
    if (entries[0]?.body.kind === "run.opened") opening.add(device);
  }
  const devices = checked.size > 0 ? checked : opening;
  return { devices, areSought: devices.size > 0 && devices.size < chains.size };
}

/** Settles the claims of all. Time linear in what the entries had seen. */
export function settleClaims(chainsMutable: Chains, { devices, areSought }: References): void {
  const bearings = areSought ? takeBearings(chainsMutable, devices) : new Map<DeviceId, Bearings>();
  for (const [device, chain] of chainsMutable) {
    const found = bearings.get(device);
    chain.shiftMs = found === undefined ? 0 : shiftBy(found);
    chain.claimsMs =
      found === undefined ? chain.timesMs : claimsBy(chain.timesMs, chain.shiftMs, found);
  }
}

/**
 * Settles the claims of entries that came at the ends of chains; false if they bear on claims that
 * were settled before, so that all must be settled anew.
 */
export function settleNewClaims(
  chains: Chains,
  references: References,
  news: { readonly chainMutable: DeviceChain; readonly from: number },
): boolean {
  const { chainMutable: chain, from } = news;
  if (!references.areSought) return true;
  const isReference = references.devices.has(chain.device);
  for (let index = from; index < chain.entries.length; index += 1) {
    const timeMs = chain.timesMs[index] as number;
    if (!isReference) chain.claimsMs.push(timeMs + chain.shiftMs);
    for (const [device, seq] of seenBy(chain, index)) {
      const other = chains.get(device);
      if (other === undefined || references.devices.has(device) === isReference) continue;
      const fits = isReference
        ? fitsAfter(other, seq, timeMs)
        : fitsBefore(other, seq, timeMs + chain.shiftMs);
      if (!fits) return false;
    }
  }
  return true;
}

// Whether what a reference saw, at a time, is not after that.
function fitsAfter(other: DeviceChain, seq: number, timeMs: number): boolean {
  const index = Math.min(seq, other.entries.length) - 1;
  const seenTimeMs = other.timesMs[index];
  if (seenTimeMs === undefined) return true;
  // Its effective time is no earlier than any claim before it; one not placed yet has none.
  const effectiveMs = other.placed[index]?.atMs ?? Infinity;
  return effectiveMs <= timeMs && seenTimeMs + other.shiftMs <= timeMs;
}

// Whether what a device saw of a reference is not after the seeing.
function fitsBefore(reference: DeviceChain, seq: number, claimMs: number): boolean {
  const seenMs = reference.timesMs[Math.min(seq, reference.entries.length) - 1];
  return seenMs === undefined || seenMs <= claimMs;
}

/** What references say of a device's clock. Milliseconds. */
type Bearings = {
  /** The shift must be at least, and at most. */
  leastMs: number;
  mostMs: number;
  /** By index of its entries, in no order: when references had seen up to there. */
  readonly seenAtMs: Map<number, number>;
};

function takeBearings(chains: Chains, references: ReadonlySet<DeviceId>): Map<DeviceId, Bearings> {
  const bearingsByDevice = new Map<DeviceId, Bearings>();
  for (const device of chains.keys()) {
    if (references.has(device)) continue;
    bearingsByDevice.set(device, { leastMs: -Infinity, mostMs: Infinity, seenAtMs: new Map() });
  }
  for (const chain of chains.values()) {
    for (let index = 0; index < chain.entries.length; index += 1) {
      takeBearing(bearingsByDevice, chains, { chain, index });
    }
  }
  return bearingsByDevice;
}

// Takes what one entry says of others' clocks, or what others say of its own device's.
function takeBearing(
  bearingsMutable: ReadonlyMap<DeviceId, Bearings>,
  chains: Chains,
  { chain, index }: { readonly chain: DeviceChain; readonly index: number },
): void {
  const own = bearingsMutable.get(chain.device);
  const timeMs = chain.timesMs[index] as number;
  for (const [device, seq] of seenBy(chain, index)) {
    const other = chains.get(device);
    const place = Math.min(seq, other?.entries.length ?? 0) - 1;
    const seenTimeMs = other?.timesMs[place];
    const others = bearingsMutable.get(device);
    if (seenTimeMs === undefined || (own === undefined) === (others === undefined)) continue;
    if (own !== undefined) own.leastMs = Math.max(own.leastMs, seenTimeMs - timeMs);
    if (others === undefined) continue;
    others.mostMs = Math.min(others.mostMs, timeMs - seenTimeMs);
    others.seenAtMs.set(place, Math.min(others.seenAtMs.get(place) ?? Infinity, timeMs));
  }
}

function shiftBy({ leastMs, mostMs }: Bearings): number {
  if (mostMs < 0) return mostMs;
  return leastMs > 0 ? Math.min(leastMs, mostMs) : 0;
}

function claimsBy(timesMs: number[], shiftMs: number, { seenAtMs }: Bearings): number[] {
  const claimsMs = timesMs.slice();
  let mostMs = Infinity;
  for (let index = claimsMs.length - 1; index >= 0; index -= 1) {
    mostMs = Math.min(mostMs, seenAtMs.get(index) ?? Infinity);
    claimsMs[index] = Math.min((claimsMs[index] as number) + shiftMs, mostMs);
  }
  return claimsMs;
}

function seenBy({ device, entries }: DeviceChain, index: number): [DeviceId, number][] {
  const seen = entries[index]?.seen ?? {};
  const pairs: [DeviceId, number][] = [];
  for (const other in seen) {
    if (other !== device) pairs.push([other as DeviceId, seen[other as DeviceId] as number]);
  }
  return pairs;
}
