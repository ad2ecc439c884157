// Interleavings: orders in which the steps of a plan may end.
//
// [interleaving 1] What comes out holds every step that it needs, each after all that it waits for.
// [interleaving 2] The steps that were asked for come in the order that was asked for.

import type { StepId } from "../procedure/ids.ts";
import type { Step } from "../procedure/step.ts";
import type { Witness } from "./finding.ts";
import { isBefore } from "./happens-before.ts";
import type { PlanOrder } from "./happens-before.ts";

/**
 * The interleavings that a witness tells of, each from the start of the run.
 *
 * For `orders`: one for each list, up to its last step. For `together`: one, after which all that
 * have entered are in. For others: none.
 *
 * Errors: none; steps that are not in play are passed over.
 */
export function interleavingsOf(
  order: PlanOrder,
  witness: Witness,
): readonly (readonly StepId[])[] {
  switch (witness.sort) {
    case "orders":
      return witness.orders.map((ids) => idsOf(order, interleave(order, numbersOf(order, ids))));
    case "together":
      return [idsOf(order, interleaveAll(order, numbersOf(order, witness.entered)))];
    case "circle":
    case "route":
      return [];
  }
}

// Before each wanted step: all that it waits for and is not after a wanted one that comes later.
function interleave(order: PlanOrder, wanted: readonly number[]): readonly number[] {
  const done = new Set<number>();
  for (const [turn, number] of wanted.entries()) {
    const later = wanted.slice(turn + 1);
    const mustPrecede = [number, ...later];
    for (let other = 0; other < order.steps.length; other += 1) {
      const isNeeded = mustPrecede.some((target) => isBefore(order, other, target));
      const isTooEarly = [number, ...later].some(
        (target) => target === other || isBefore(order, target, other),
      );
      if (isNeeded && !isTooEarly) done.add(other);
    }
    // What stands between an earlier wanted step and this one.
    for (let other = 0; other < number; other += 1) {
      if (isBefore(order, other, number)) done.add(other);
    }
    done.add(number);
  }
  return [...done];
}

// The least that lets all of them have ended.
function interleaveAll(order: PlanOrder, wanted: readonly number[]): readonly number[] {
  const numbers = order.steps.keys();
  return [...numbers].filter((number) =>
    wanted.some((target) => target === number || isBefore(order, number, target)),
  );
}

function numbersOf(order: PlanOrder, ids: readonly StepId[]): readonly number[] {
  return ids.flatMap((id) => order.numbers.get(id) ?? []);
}

function idsOf(order: PlanOrder, numbers: readonly number[]): readonly StepId[] {
  return numbers.map((number) => (order.steps[number] as Step).id);
}
