// Happens-before: which steps must be done before which may start, over all interleavings at once.
//
// Definition: u is *before* v if u must be done before v may start: by the lane's order, by `after`,
//   by a meet, or by any chain of these.
// Definition: u and v are *side by side* if neither is before the other; each may end first, and
//   both may be under way at once.
// [happens-before 1] It is the transitive closure of the links, and nothing else.
// [happens-before 2] Steps are numbered so that whatever is before a step has a lower number; among
//   those free of each other, by the planned end at likely durations.

import { addRow, createBitTable, hasBit, setBit } from "../base/bit-set.ts";
import type { BitTable } from "../base/bit-set.ts";
import type { StepId } from "../procedure/ids.ts";
import type { Step } from "../procedure/step.ts";
import type { LinkedSteps, StepLink } from "./step-links.ts";

/** Steps in play in an order that the plan allows, and what is before what. */
export type PlanOrder = {
  /** By number. */
  readonly steps: readonly Step[];
  readonly numbers: ReadonlyMap<StepId, number>;
  /** Numbers of the steps that a step waits for directly. */
  readonly waitsFor: readonly (readonly number[])[];
  readonly ancestors: BitTable;
};

/** Numbers the steps and closes their order. The links must have no circle. Errors: none. */
export function closeOrder(linked: LinkedSteps): PlanOrder {
  const sequence = planSequence(linked);
  const steps = sequence.map((place) => linked.steps[place] as Step);
  const numbers = new Map(steps.map((step, number) => [step.id, number]));
  const numberOf = (link: StepLink) => numbers.get(link.from) as number;
  const waitsFor = sequence.map((place) => [
    ...new Set((linked.linksInto[place] as readonly StepLink[]).map(numberOf)),
  ]);
  const ancestors = createBitTable(steps.length, steps.length);
  for (const [number, direct] of waitsFor.entries()) {
    for (const other of direct) {
      addRow(ancestors, other, number);
      setBit(ancestors, number, other);
    }
  }
  return { steps, numbers, waitsFor, ancestors };
}

/**
 * Whether one step is before another.
 *
 * @param later a number, or the count of steps, which stands for the end of the run
 * Errors: none.
 */
export function isBefore({ steps, ancestors }: PlanOrder, earlier: number, later: number): boolean {
  if (later >= steps.length) return true;
  return earlier < later && hasBit(ancestors, later, earlier);
}

/** Whether two different steps may be under way at once. Errors: none. */
export function areSideBySide(order: PlanOrder, a: number, b: number): boolean {
  return a !== b && !isBefore(order, a, b) && !isBefore(order, b, a);
}

/**
 * Whether `later` may be made to wait for `earlier` without a circle, whatever meets it has.
 *
 * Errors: none.
 */
export function mayWaitFor(order: PlanOrder, later: number, earlier: number): boolean {
  const step = order.steps[later] as Step;
  const mates = step.meet === null ? [step] : order.steps.filter((s) => s.meet === step.meet);
  return mates.every((mate) => {
    const number = order.numbers.get(mate.id) as number;
    return number !== earlier && !isBefore(order, number, earlier);
  });
}

// Places in the document's list, by planned end; ties by the order in which they became free.
function planSequence({ steps, numbers, linksInto }: LinkedSteps): readonly number[] {
  const ends = new Float64Array(steps.length);
  const free: number[] = [];
  const waiting = linksInto.map((links) => links.length);
  const dependants: number[][] = steps.map(() => []);
  for (const [place, links] of linksInto.entries()) {
    if (links.length === 0) free.push(place);
    for (const link of links) dependants[numbers.get(link.from) as number]?.push(place);
  }
  for (let next = 0; next < free.length; next += 1) {
    const place = free[next] as number;
    const starts = ends[place] as number;
    const end = starts + (steps[place] as Step).duration.likelySeconds;
    ends[place] = end;
    for (const dependant of dependants[place] as number[]) {
      ends[dependant] = Math.max(ends[dependant] as number, end);
      waiting[dependant] = (waiting[dependant] as number) - 1;
      if (waiting[dependant] === 0) free.push(dependant);
    }
  }
  const turns = new Float64Array(steps.length);
  for (const [turn, place] of free.entries()) turns[place] = turn;
  return free.sort(
    (a, b) =>
      (ends[a] as number) - (ends[b] as number) || (turns[a] as number) - (turns[b] as number),
  );
}
