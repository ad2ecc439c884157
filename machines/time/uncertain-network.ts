// A simple temporal network with uncertainty: some spans are not ours to choose.
//
// Definition: a *contingent* span begins at its *activation*, which somebody starts, and comes to its
//   *end* after a time between least and most that nobody chooses; it is known when it happens.
// Definition: every other point is *ours*.
// [uncertain 1] A point is the end of at most one contingent span, and that span has
//   0 <= least <= most; otherwise the fault is named, with the place in the list.

import type { SimpleNetwork } from "./simple-network.ts";

/** A span whose length is not ours to choose. Points are numbers from 0. */
export type Contingent = {
  readonly activation: number;
  readonly end: number;
  readonly leastSeconds: number;
  readonly mostSeconds: number;
};

/** A simple network of which some spans are contingent; the bounds do not repeat these spans. */
export type UncertainNetwork = SimpleNetwork & { readonly contingents: readonly Contingent[] };

/** What is wrong with a contingent span: its place in the list, and a sentence. */
export type ContingentFlaw = { readonly contingent: number; readonly says: string };

/**
 * What keeps the contingent spans of a network from meaning anything; none: nothing does.
 *
 * Errors: none.
 */
export function contingentFlaws({ contingents }: UncertainNetwork): readonly ContingentFlaw[] {
  const flaws: ContingentFlaw[] = [];
  const endedBy = new Map<number, number>();
  for (const [place, { activation, end, leastSeconds, mostSeconds }] of contingents.entries()) {
    const flaw = (says: string) => flaws.push({ contingent: place, says });
    if (activation === end) flaw("it begins and ends at the same point");
    if (leastSeconds < 0) flaw("its least time is below nothing");
    if (mostSeconds < leastSeconds) flaw("its most is less than its least");
    const other = endedBy.get(end);
    if (other !== undefined) flaw(`it ends where contingent span ${other} ends`);
    endedBy.set(end, place);
  }
  return flaws;
}
