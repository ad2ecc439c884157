// Custody: every item is in exactly one place, is taken from where it was last put, and is back at the
// end.
//
// [custody 1] An item is taken from where it is, in every interleaving; what a bag holds goes with it.
// [custody 2] Whoever takes, puts or works with an item can lay a hand on it.
// [custody 3] Nothing is put into itself, and nothing is left where nothing holds it.
// [custody 4] At the end each item is where it must be; what stays out is listed.

import type { ItemId, PositionId } from "../procedure/ids.ts";
import type { Place } from "../procedure/place.ts";
import type { Effect } from "../procedure/step.ts";
import { placeOf } from "./finding.ts";
import type { Finding, FindingGrade, FindingKind } from "./finding.ts";
import type { Variable } from "./ledger.ts";
import {
  containmentOf,
  expectValue,
  needValue,
  noteFound,
  noteUses,
  placeValue,
  reachOf,
  setValue,
  stepAt,
  valueOf,
  valueToPlace,
  variableOf,
} from "./plan-state.ts";
import type { PlanState } from "./plan-state.ts";
import { listWords, placeWords, positionWords, stepWords } from "./plan-words.ts";

type ItemMoved = Extract<Effect, { readonly kind: "item-moved" }>;

/** Moves an item. Errors: none. */
export function moveItem(state: PlanState, number: number, effect: ItemMoved): void {
  const { item, from, to } = effect;
  const variable = variableOf(state, "item", item);
  needValue(state, variable, { step: number, values: [placeValue(from)], kind: "item-not-there" });
  // Whether one could take it from where it is not says nothing more.
  if (state.values.get(variable) === placeValue(from)) checkHand(state, number, item, from);
  checkHand(state, number, item, to);
  noteExchange(state, number, from);
  noteExchange(state, number, to);
  if (state.index.itemsById.get(item)?.sort === "foot-restraint") checkEmpty(state, number, item);
  const { around } = containmentOf(state, to);
  if (around.includes(item)) {
    noteItem(state, number, item, {
      kind: "item-inside-itself",
      says: `${stepWords(state.index, stepAt(state, number).id)} puts ${itemWords(state, item)} into itself.`,
      mend: "Name the site, the position or the item that holds it.",
      uses: around.map((holder) => variableOf(state, "item", holder)),
    });
    return;
  }
  checkHeld(state, number, item, to);
  setValue(state, variable, { step: number, value: placeValue(to) });
}

/** Checks that the tool of a step's fasteners is at hand. Errors: none. */
export function checkTool(state: PlanState, number: number): void {
  const step = stepAt(state, number);
  const tool = step.fasteners?.tool;
  if (tool === undefined || !state.index.itemsById.has(tool)) return;
  const variable = variableOf(state, "item", tool);
  const place = valueToPlace(state.values.get(variable) as string);
  const reach = reachOf(state, step.lane, place);
  const uses = [variable, ...reach.uses];
  noteUses(number, uses, reach.isInReach);
  if (reach.isInReach) return;
  const name = positionWords(state.index, step.lane);
  noteItem(state, number, tool, {
    kind: "item-out-of-reach",
    says: `${stepWords(state.index, step.id)} works with ${itemWords(state, tool)}, which is ${whereabouts(state, place)}, out of ${name}'s reach.`,
    mend: `Have ${itemWords(state, tool)} brought there first.`,
    uses,
  });
}

/** Checks where everything is at the end. Errors: none. */
export function checkItemsEnd(state: PlanState): void {
  const step = state.order.steps.length;
  for (const { id, mustEndAt } of state.index.procedure.items) {
    const values = mustEndAt.map(placeValue);
    needValue(state, variableOf(state, "item", id), { step, values, kind: "item-not-back" });
  }
}

/** What is at another site at the end than at the start, and not at a hatch, as advice. Errors: none. */
export function listItemsLeftOut(state: PlanState): readonly Finding[] {
  const { items } = state.index.procedure;
  const left = items.filter(({ id, startsAt }) => {
    const place = valueToPlace(valueOf(state, "item", id));
    const { root } = containmentOf(state, place);
    const began = "site" in startsAt ? startsAt.site : null;
    if (root === null || !("site" in root) || root.site === began) return false;
    if (placeValue(startsAt) === placeValue(place)) return false;
    return state.index.sitesById.get(root.site)?.sort !== "hatch";
  });
  if (left.length === 0) return [];
  return [
    {
      kind: "items-left-out",
      grade: "advice",
      where: placeOf({ items: left.map(({ id }) => id) }),
      says: `Stays out at the end, in another place than at the start: ${listWords(left.map(({ name }) => name))}.`,
      witness: null,
      mend: { says: "Nothing, if that is meant.", edits: [] },
      onlyWith: [],
    },
  ];
}

function checkHand(state: PlanState, number: number, item: ItemId, place: Place): void {
  const { lane, id } = stepAt(state, number);
  const reach = reachOf(state, lane, place);
  noteUses(number, reach.uses, reach.isInReach);
  if (reach.isInReach) return;
  const { index } = state;
  noteItem(state, number, item, {
    kind: "item-out-of-reach",
    says: `${stepWords(index, id)} moves ${itemWords(state, item)}, but ${positionWords(index, lane)} can't lay a hand on it ${whereabouts(state, place)}.`,
    mend: `Bring ${positionWords(index, lane)} there first, or mend the place.`,
    uses: reach.uses,
  });
}

function noteExchange(state: PlanState, number: number, place: Place): void {
  if (!("position" in place) || place.position === stepAt(state, number).lane) return;
  state.exchanges.push({ step: number, partner: place.position });
}

// A foot restraint is not moved from under somebody's feet.
function checkEmpty(state: PlanState, number: number, item: ItemId): void {
  for (const { id } of state.index.procedure.positions) {
    expectValue(state, variableOf(state, "restraint", id), {
      step: number,
      values: [item],
      isWanted: false,
      kind: "restraint-not-there",
    });
  }
}

// A rail or an anchor holds a hook, not a thing that is put down.
function checkHeld(state: PlanState, number: number, item: ItemId, to: Place): void {
  if (!("site" in to) || state.index.sitesById.get(to.site)?.sort !== "anchor") return;
  const { index } = state;
  noteItem(state, number, item, {
    kind: "item-loose",
    grade: "doubt",
    says: `${stepWords(index, stepAt(state, number).id)} leaves ${itemWords(state, item)} ${placeWords(index, to)}, an anchor, where nothing is said to hold it.`,
    mend: "Put it into a bag, at a stowage site, or keep it in hand.",
    uses: [],
  });
}

function whereabouts(state: PlanState, place: Place): string {
  const { root } = containmentOf(state, place);
  const words = placeWords(state.index, place);
  if (!("item" in place) || root === null) return words;
  return `${words}, ${placeWords(state.index, root)}`;
}

function itemWords({ index }: PlanState, item: ItemId): string {
  return index.itemsById.get(item)?.name ?? item;
}

type ItemWords = {
  readonly kind: FindingKind;
  readonly grade?: FindingGrade;
  readonly says: string;
  readonly mend: string;
  readonly uses: readonly Variable[];
};

function noteItem(state: PlanState, number: number, item: ItemId, words: ItemWords): void {
  const { id, lane } = stepAt(state, number);
  const positions: readonly PositionId[] = [lane];
  noteFound(state, {
    finding: {
      kind: words.kind,
      grade: words.grade ?? "fault",
      where: placeOf({ steps: [id], items: [item], positions }),
      says: words.says,
      witness: { sort: "orders", orders: [[id]] },
      mend: { says: words.mend, edits: [] },
      onlyWith: [],
    },
    step: number,
    uses: words.uses,
  });
}
