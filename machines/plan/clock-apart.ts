// What only the clock keeps apart: steps that nothing orders, of which one always ends before the
// other may start, so long as nobody is faster or slower than the plan allows.
//
// Definition: the *gap* from u to v is a lower bound, over all durations that the plan allows, of
//   the time from the end of u to the start of v, if everybody starts as soon as order lets them.
// For any step c before v: all that u waits for, and c did not, takes at most its longest chain; and
// v starts at the earliest when the longest chain from c to v has run at its quickest.
// [clock-apart 1] The gap never promises more than some choice of durations yields.
// [clock-apart 2] A step that waits for a window or a clock has no latest time, so no gap after it.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Step } from "../procedure/step.ts";
import { isBefore } from "./happens-before.ts";
import type { PlanOrder } from "./happens-before.ts";

/** Tells the gap between two steps by their numbers, in seconds; minus infinity if none is known. */
export type GapSeconds = (first: number, second: number) => number;

/** Prepares to tell gaps. Errors: none. */
export function createGapSeconds(index: ProcedureIndex, order: PlanOrder): GapSeconds {
  const held = new Set(
    index.procedure.clocks
      .filter((clock) => clock.atLeastSeconds !== null)
      .map((clock) => order.numbers.get(clock.to.step)),
  );
  const mostSeconds = order.steps.map((step, number) =>
    step.needsWindows.length > 0 || held.has(number) ? Infinity : step.duration.maxSeconds,
  );
  return (first, second) => {
    const quickest = quickestInto(order, second);
    let gap = (quickest[second] as number) - longestBeyond(order, mostSeconds, first, -1);
    for (const since of branchings(order, first, second)) {
      const toSecond = quickest[since] as number;
      const toFirst = longestBeyond(order, mostSeconds, first, since);
      // The quickest chain is counted from the start of `since`; both sides count from its end.
      gap = Math.max(gap, toSecond - toFirst);
    }
    return gap;
  };
}

/**
 * For each step before `target`: the least time from its end to the target's start along the longest
 * chain between them; for the target itself: its earliest start.
 */
function quickestInto({ steps, waitsFor }: PlanOrder, target: number): Float64Array {
  const fromEnd = new Float64Array(target + 1).fill(-Infinity);
  const earliest = new Float64Array(target + 1);
  for (let number = 0; number <= target; number += 1) {
    for (const before of waitsFor[number] as readonly number[]) {
      const end = (earliest[before] as number) + (steps[before] as Step).duration.minSeconds;
      earliest[number] = Math.max(earliest[number] as number, end);
    }
  }
  for (const before of waitsFor[target] as readonly number[]) fromEnd[before] = 0;
  for (let number = target - 1; number >= 0; number -= 1) {
    const toEnd = fromEnd[number] as number;
    if (toEnd === -Infinity) continue;
    const more = toEnd + (steps[number] as Step).duration.minSeconds;
    for (const before of waitsFor[number] as readonly number[]) {
      fromEnd[before] = Math.max(fromEnd[before] as number, more);
    }
  }
  fromEnd[target] = earliest[target] as number;
  return fromEnd;
}

/** The longest chain that ends with `target`, of steps that are neither `since` nor before it. */
function longestBeyond(
  order: PlanOrder,
  mostSeconds: readonly number[],
  target: number,
  since: number,
): number {
  const longest = new Float64Array(target + 1);
  for (let number = 0; number <= target; number += 1) {
    if (number !== target && !isBefore(order, number, target)) continue;
    if (since >= 0 && (number === since || isBefore(order, number, since))) continue;
    let chain = 0;
    for (const before of order.waitsFor[number] as readonly number[]) {
      chain = Math.max(chain, longest[before] as number);
    }
    longest[number] = chain + (mostSeconds[number] as number);
  }
  return longest[target] as number;
}

/** In each lane the last step that is before both, and the last that is before the second. */
function branchings(order: PlanOrder, first: number, second: number): readonly number[] {
  const lasts = new Map<string, number>();
  for (let number = 0; number < second; number += 1) {
    if (!isBefore(order, number, second)) continue;
    const { lane } = order.steps[number] as Step;
    lasts.set(`any ${lane}`, number);
    if (isBefore(order, number, first)) lasts.set(`both ${lane}`, number);
  }
  return [...new Set(lasts.values())];
}
