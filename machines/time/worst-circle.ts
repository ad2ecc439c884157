// The worst circle of a procedure's network: what cannot be kept if every step takes its most.
//
// Definition: a bound is an *at-most* if it says how late something may be: a clock's at most, the run's
//   limit, the close of a window. All others say what must come first.
// [worst 1] It is found exactly if some one at-most cannot be kept together with what must come first, with
//   every step at its most; two at-mosts that only together cannot be kept are left to the other check.
// [worst 2] It holds one at-most at the most; of all chains against that one it is the longest, so it says
//   how many seconds are missing at the worst.
// It is looked for before controllability is checked: who reads that a clock runs out if all take longest
// needs no more, and the circles of that check need not be the worst.

import type { CircleLeg, UncertainCircle } from "./circle-of-edges.ts";
import { toleranceSeconds } from "./edge-lists.ts";
import type { BoundReason, ProcedureNetwork } from "./procedure-network.ts";
import { chainsIn, findCircle } from "./simple-network.ts";
import type { Bound, SimpleNetwork } from "./simple-network.ts";

/**
 * The worst circle: against the at-most that comes first in the network and cannot be kept.
 *
 * Errors: none; null if all can be kept with every step at its most.
 */
export function findWorstCircle(told: ProcedureNetwork): UncertainCircle | null {
  const firsts = networkOfFirsts(told);
  const circle = findCircle(firsts.network);
  if (circle !== null) return circleOfLegs(circle.bounds.map((place) => legAt(firsts, place)));
  const chainFrom = chainsIn(firsts.network);
  for (const [place, bound] of told.network.bounds.entries()) {
    if (!isAtMost(told.reasons[place])) continue;
    const chain = chainFrom(bound.from, bound.to);
    const legs = [{ ...bound, why: { bound: place } }, ...chain.map((at) => legAt(firsts, at))];
    const seconds = legs.reduce((sum, leg) => sum + leg.seconds, 0);
    if (chain.length > 0 && seconds < -toleranceSeconds) return circleOfLegs(legs);
  }
  return null;
}

// What must come first, with every step at its most; and why each bound is there.
type Firsts = { readonly network: SimpleNetwork; readonly whys: readonly CircleLeg["why"][] };

function networkOfFirsts({ network, reasons }: ProcedureNetwork): Firsts {
  const bounds: Bound[] = [];
  const whys: CircleLeg["why"][] = [];
  for (const [place, bound] of network.bounds.entries()) {
    if (isAtMost(reasons[place])) continue;
    bounds.push(bound);
    whys.push({ bound: place });
  }
  for (const [contingent, { activation, end, mostSeconds }] of network.contingents.entries()) {
    bounds.push({ from: end, to: activation, seconds: -mostSeconds });
    whys.push({ contingent, takes: "most" });
  }
  return { network: { points: network.points, bounds }, whys };
}

function isAtMost(reason: BoundReason | undefined): boolean {
  const sort = reason?.sort;
  return sort === "clock-at-most" || sort === "run-limit" || sort === "window-closes";
}

function legAt({ network, whys }: Firsts, place: number): CircleLeg {
  const { from = 0, to = 0, seconds = 0 } = network.bounds[place] ?? {};
  return { from, to, seconds, why: whys[place] ?? { bound: -1 } };
}

function circleOfLegs(legs: readonly CircleLeg[]): UncertainCircle {
  const timesByBound = new Map<number, number>();
  const mostsByContingent = new Map<number, number>();
  for (const { why } of legs) {
    if ("bound" in why) timesByBound.set(why.bound, (timesByBound.get(why.bound) ?? 0) + 1);
    else mostsByContingent.set(why.contingent, (mostsByContingent.get(why.contingent) ?? 0) - 1);
  }
  return {
    seconds: legs.reduce((sum, { seconds }) => sum + seconds, 0),
    timesByBound,
    leastsByContingent: new Map(),
    mostsByContingent,
    legs,
    isCut: false,
  };
}
