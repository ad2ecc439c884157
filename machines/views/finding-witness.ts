// How one sees that a finding is so: its witness in lines of words.
//
// [finding-witness 1] Steps of a witness stand in an order in which they may end, and what is left out
//   before them is counted.

import { orderPlay } from "../plan/check-plan.ts";
import type { Finding, Witness } from "../plan/finding.ts";
import type { PlanOrder } from "../plan/happens-before.ts";
import { interleavingsOf } from "../plan/interleaving.ts";
import { siteWords, stepWords } from "../plan/plan-words.ts";
import type { StepLink } from "../plan/step-links.ts";
import type { StepId, TaskId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";

/** A witness: a sentence, and lists under it. */
export type WitnessTold = { readonly lead: string; readonly lists: readonly WitnessList[] };

/** Lines in order; `before`: how many steps come before the first. */
export type WitnessList = { readonly before: number; readonly lines: readonly string[] };

const stepsShown = 8;
const linesShownMax = 40;
// Telling an order in full grows with the square of the steps.
const stepsTold = 1000;

/** Tells witnesses of one plan. Errors: none; null where there is nothing to show. */
export function createWitnessTeller(
  index: ProcedureIndex,
): (finding: Finding) => WitnessTold | null {
  const orders = new Map<string, PlanOrder>();
  const orderOf = (play: readonly TaskId[]): PlanOrder => {
    const key = play.join(" ");
    const known = orders.get(key) ?? orderPlay(index, play).order;
    orders.set(key, known);
    return known;
  };
  return ({ witness, onlyWith }) => {
    if (witness === null) return null;
    switch (witness.sort) {
      case "orders":
        return tellOrders(index, witness, () => orderOf(onlyWith));
      case "together":
        return {
          lead: "All of these may be there before any of them leaves:",
          lists: [listOf(witness.entered.map((id) => stepWords(index, id)))],
        };
      case "circle":
        return {
          lead: "Each waits for the next, and the last for the first:",
          lists: [listOf(witness.links.toReversed().map((link) => linkWords(index, link)))],
        };
      case "route":
        return {
          lead: "It passes these sites, in this order:",
          lists: [listOf(witness.sites.map((id) => siteWords(index, id)))],
        };
    }
  };
}

function tellOrders(
  index: ProcedureIndex,
  witness: Witness & { readonly sort: "orders" },
  orderOf: () => PlanOrder,
): WitnessTold {
  const isLong = index.procedure.steps.length > stepsTold;
  const ways = isLong ? witness.orders : interleavingsOf(orderOf(), witness);
  return {
    lead: ways.length > 1 ? "The steps may end in any of these orders:" : "It can go like this:",
    lists: ways.map((steps) => lastSteps(index, steps)),
  };
}

function lastSteps(index: ProcedureIndex, steps: readonly StepId[]): WitnessList {
  const shown = steps.slice(-stepsShown);
  return {
    before: steps.length - shown.length,
    lines: shown.map((id) => stepWords(index, id)),
  };
}

function listOf(lines: readonly string[]): WitnessList {
  const shown = lines.slice(0, linesShownMax);
  const more = lines.length - shown.length;
  return { before: 0, lines: more === 0 ? shown : [...shown, `… and ${more} more`] };
}

function linkWords(index: ProcedureIndex, { sort, from, to, mate, meet }: StepLink): string {
  const waits = `${stepWords(index, to)} waits for ${stepWords(index, from)}`;
  switch (sort) {
    case "lane":
      return `${waits}, which comes before it in the lane.`;
    case "after":
      return `${waits}, which it is written to come after.`;
    case "meet": {
      const name = meet === null ? "a meet" : (index.meetsById.get(meet)?.name ?? meet);
      return `${waits}, since it meets ${stepWords(index, mate)} at “${name}”.`;
    }
  }
}
