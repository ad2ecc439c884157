// A network as it stands now: what has happened is fixed, what has not can only come.
//
// Definition: the *zero* is a point before everything, the *now* a point at the present second; both are
//   added after the network's own points, which keep their numbers.
// [from-now 1] What has happened stays at its second; a bound between two things that have happened
//   binds no more, and if it is broken it is named.
// [from-now 2] What has not happened is not before now.
// [from-now 3] A contingent span under way ends, from now, after what is left of its least at the soonest
//   and of its most at the latest; one that is over its most is named and supposed to end now.
// [from-now 4] A span whose end has happened is no uncertainty any more; if nobody said when it began, it
//   began for all we know when it ended.

import { toleranceSeconds } from "./edge-lists.ts";
import type { Bound } from "./simple-network.ts";
import type { Contingent, UncertainNetwork } from "./uncertain-network.ts";

/** When points happened, in seconds. */
export type Happened = ReadonlyMap<number, number>;

/** The network from now on. */
export type NetworkFromNow = {
  readonly network: UncertainNetwork;
  readonly zero: number;
  readonly now: number;
  /** The second of the zero, on the scale of what has happened. */
  readonly zeroSeconds: number;
  /** For each bound of it, its place in the whole network's list; -1: it is none of its. */
  readonly placesOfBounds: readonly number[];
  /** For each contingent span of it, its place in the whole network's list. */
  readonly placesOfContingents: readonly number[];
  /** Bounds that what has happened has broken, by their places in the whole network's list. */
  readonly brokenBounds: readonly number[];
  /** Contingent spans under way that have taken more than their most, by their places. */
  readonly overdueContingents: readonly number[];
};

/**
 * A network as it stands now.
 *
 * Errors: none.
 */
export function networkFromNow(
  whole: UncertainNetwork,
  happened: Happened,
  nowSeconds: number,
): NetworkFromNow {
  const known = withBeginnings(whole, happened);
  const zero = whole.points;
  const now = zero + 1;
  const zeroSeconds = Math.min(nowSeconds, ...known.values()) - 1;
  const bounds: Bound[] = [];
  const placesOfBounds: number[] = [];
  const add = (bound: Bound, place: number) => {
    bounds.push(bound);
    placesOfBounds.push(place);
  };
  for (const [place, bound] of whole.bounds.entries()) {
    if (!known.has(bound.from) || !known.has(bound.to)) add(bound, place);
  }
  fixAt(now, nowSeconds).forEach((bound) => add(bound, -1));
  for (let point = 0; point < whole.points; point += 1) {
    const seconds = known.get(point);
    if (seconds === undefined) add({ from: point, to: now, seconds: 0 }, -1);
    else fixAt(point, seconds).forEach((bound) => add(bound, -1));
  }
  return {
    network: { points: now + 1, bounds, ...spansFromNow(whole, known, nowSeconds) },
    zero,
    now,
    zeroSeconds,
    placesOfBounds,
    placesOfContingents: placesUnderWayOrToCome(whole, known),
    brokenBounds: brokenBounds(whole, known),
    overdueContingents: overdue(whole, known, nowSeconds),
  };

  function fixAt(point: number, seconds: number): Bound[] {
    return [
      { from: zero, to: point, seconds: seconds - zeroSeconds },
      { from: point, to: zero, seconds: zeroSeconds - seconds },
    ];
  }
}

function withBeginnings({ contingents }: UncertainNetwork, happened: Happened): Happened {
  const known = new Map(happened);
  for (const { activation, end } of contingents) {
    const ended = happened.get(end);
    if (ended !== undefined && !known.has(activation)) known.set(activation, ended);
  }
  return known;
}

function placesUnderWayOrToCome({ contingents }: UncertainNetwork, known: Happened): number[] {
  return contingents.flatMap(({ end }, place) => (known.has(end) ? [] : [place]));
}

function spansFromNow(
  whole: UncertainNetwork,
  known: Happened,
  nowSeconds: number,
): { readonly contingents: readonly Contingent[] } {
  const now = whole.points + 1;
  const contingents = whole.contingents
    .filter(({ end }) => !known.has(end))
    .map((span): Contingent => {
      const began = known.get(span.activation);
      if (began === undefined) return span;
      const gone = nowSeconds - began;
      const mostSeconds = Math.max(0, span.mostSeconds - gone);
      const leastSeconds = Math.min(mostSeconds, Math.max(0, span.leastSeconds - gone));
      return { activation: now, end: span.end, leastSeconds, mostSeconds };
    });
  return { contingents };
}

function brokenBounds({ bounds }: UncertainNetwork, known: Happened): number[] {
  return bounds.flatMap(({ from, to, seconds }, place) => {
    const [start, end] = [known.get(from), known.get(to)];
    if (start === undefined || end === undefined) return [];
    return end - start > seconds + toleranceSeconds ? [place] : [];
  });
}

function overdue({ contingents }: UncertainNetwork, known: Happened, nowSeconds: number): number[] {
  return contingents.flatMap(({ activation, end, mostSeconds }, place) => {
    const began = known.get(activation);
    const isUnderWay = began !== undefined && !known.has(end);
    return isUnderWay && nowSeconds - began > mostSeconds + toleranceSeconds ? [place] : [];
  });
}
