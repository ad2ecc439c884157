// Which claim to overlook where devices claim to have seen each other's later entries, as only a lying device
// does.
//
// Definition: a *ring* is a set of chains that bar each other, each by way of the others, and that wait for
//   nobody else.
// [overlook-claim 1] Only a claim within a ring is overlooked: who merely waits for a ring waits on.
// [overlook-claim 2] It is the claim that its times speak against most: what was seen lies farthest after
//   the seeing. Of two honest devices no such claim is known, so theirs hold; whether the liar's own times
//   are right or not, it is one of the liar's claims or one about the liar.

import { assert } from "../base/assert.ts";
import type { DeviceChain } from "./device-chain.ts";

/** That a chain's next entry had seen another chain up to a seq which is not in order yet. */
export type Claim = {
  readonly chain: DeviceChain;
  readonly other: DeviceChain;
  readonly needs: number;
};

/**
 * The claim to overlook.
 *
 * @param claimsByChain of every chain that is left, all claims that bar its next entry; none has none
 * Errors: assertions.
 */
export function claimToOverlook(claimsByChain: ReadonlyMap<DeviceChain, readonly Claim[]>): Claim {
  const reachedFrom = new Map(
    [...claimsByChain.keys()].map((chain) => [chain, reach(claimsByChain, chain)]),
  );
  let worst: Claim | undefined;
  for (const [chain, claims] of claimsByChain) {
    const reached = [...(reachedFrom.get(chain) ?? [])];
    if (!reached.every((other) => reachedFrom.get(other)?.has(chain))) continue;
    for (const claim of claims) if (worst === undefined || isWorse(claim, worst)) worst = claim;
  }
  assert(worst !== undefined, "chains that all wait have a ring among them");
  return worst;
}

function reach(
  claimsByChain: ReadonlyMap<DeviceChain, readonly Claim[]>,
  from: DeviceChain,
): ReadonlySet<DeviceChain> {
  const reached = new Set<DeviceChain>();
  const open = [from];
  for (let chain = open.pop(); chain !== undefined; chain = open.pop()) {
    for (const { other } of claimsByChain.get(chain) ?? []) {
      if (reached.has(other)) continue;
      reached.add(other);
      open.push(other);
    }
  }
  return reached;
}

function isWorse(a: Claim, b: Claim): boolean {
  const [aMs, bMs] = [lateMs(a), lateMs(b)];
  if (aMs !== bMs) return aMs > bMs;
  if (a.chain !== b.chain) return a.chain.device < b.chain.device;
  return a.other.device < b.other.device;
}

// How long after the seeing lies what was seen.
function lateMs({ chain, other, needs }: Claim): number {
  const seenMs = other.claimsMs[needs - 1];
  const seeingMs = chain.claimsMs[chain.placed.length];
  assert(seenMs !== undefined, "an entry that bars is held");
  assert(seeingMs !== undefined, "an entry that waits is held");
  return seenMs - seeingMs;
}
