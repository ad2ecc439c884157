// Where everything is in the middle of a walk through the plan, and what the walk has noted.
//
// The walk goes once through the steps by their numbers. Whatever two interleavings could make
// different is an expectation or a use in the ledger, and is judged over all of them; if there is no
// such thing, all interleavings come to the same, and the one that was walked stands for them.
// [plan-state 1] What a walk finds from several variables at once stands only if none of them is
//   changed side by side with the step; else the clash is the finding.

import type { ItemId, PositionId, SiteId, StepId, TetherId } from "../procedure/ids.ts";
import type { Place } from "../procedure/place.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Arm } from "../procedure/procedure.ts";
import type { Step } from "../procedure/step.ts";
import type { Finding, FindingKind } from "./finding.ts";
import type { PlanOrder } from "./happens-before.ts";
import { accepts, createVariable, noteChange } from "./ledger.ts";
import type { Expectation, Variable, VariableSort } from "./ledger.ts";

/** A finding of one step of the walk, with the variables that it was told from. */
export type WalkFinding = {
  readonly finding: Finding;
  readonly step: number;
  readonly uses: readonly Variable[];
};

/** A stretch in which a person is at a site or in a restraint; -1 and null: from the start, to the end. */
export type Stay = {
  readonly position: PositionId;
  readonly at: string;
  readonly enteredBy: number;
  leftByMutable: number | null;
};

/** One state of a tether's line, from a step on. */
export type Line = {
  readonly step: number;
  /** Sites from the anchor to the wearer; empty: not anchored. Null: nobody can tell. */
  readonly route: readonly SiteId[] | null;
  /** Length of line out at each site of the route, in metres. */
  readonly metres: readonly number[];
};

/** Everything that a walk carries along; its maps are changed as it goes. */
export type PlanState = {
  readonly index: ProcedureIndex;
  readonly order: PlanOrder;
  readonly variables: Map<string, Variable>;
  readonly values: Map<Variable, string>;
  readonly found: WalkFinding[];
  /** Expectations that a step's own earlier effects have spoilt. */
  readonly ownMismatches: {
    readonly variable: Variable;
    readonly expectation: Expectation;
    readonly value: string;
  }[];
  /** Steps that take something from, or give it to, the person of another lane. */
  readonly exchanges: { readonly step: number; readonly partner: PositionId }[];
  readonly siteStays: Map<PositionId, Stay[]>;
  readonly restraintStays: Stay[];
  readonly lines: Map<TetherId, Line[]>;
  /** Persons known to be without a tether, so that it is said once. */
  readonly untethered: Set<PositionId>;
  /** What has been said of riders already. */
  readonly ridersTold: Set<string>;
  /** Which lane parted a connector last. */
  readonly partedBy: Map<string, PositionId>;
};

/** The state before the first step. Errors: none. */
export function createPlanState(index: ProcedureIndex, order: PlanOrder): PlanState {
  const { positions, tethers, items, hardware, arms } = index.procedure;
  const state: PlanState = {
    index,
    order,
    variables: new Map(),
    values: new Map(),
    found: [],
    ownMismatches: [],
    exchanges: [],
    siteStays: new Map(),
    restraintStays: [],
    lines: new Map(tethers.map((t) => [t.id, [{ step: -1, route: startOfLine(t), metres: [0] }]])),
    untethered: new Set(),
    ridersTold: new Set(),
    partedBy: new Map(),
  };
  for (const { id, startsAt } of positions) {
    addVariable(state, createVariable("person", id, startsAt ?? ""));
    addVariable(state, createVariable("restraint", id, ""));
    const first = { position: id, at: startsAt ?? "", enteredBy: -1, leftByMutable: null };
    state.siteStays.set(id, [first]);
  }
  for (const { id, startsAt } of items) {
    addVariable(state, createVariable("item", id, placeValue(startsAt)));
  }
  for (const t of tethers) {
    addVariable(state, createVariable("tether", t.id, t.startsAnchoredAt ?? ""));
  }
  for (const { id, startsAs } of hardware) {
    addVariable(state, createVariable("hardware", id, startsAs));
  }
  for (const { id, startsAt } of arms) addVariable(state, createVariable("arm", id, startsAt));
  return state;
}

/** A variable by what it tells of. Errors: none for things that the procedure has. */
export function variableOf({ variables }: PlanState, sort: VariableSort, id: string): Variable {
  return variables.get(`${sort} ${id}`) as Variable;
}

/** What a variable is now, in the order that is walked. Errors: none. */
export function valueOf(state: PlanState, sort: VariableSort, id: string): string {
  return state.values.get(variableOf(state, sort, id)) as string;
}

/** Notes that a step needs a value; see `Expectation`. Errors: none. */
export function expectValue(state: PlanState, variable: Variable, needed: Expectation): void {
  // What the step itself has just changed nobody else has a say in: a step may put an item down and
  // take it up again.
  const own = variable.changesMutable.at(-1);
  if (own?.step !== needed.step) variable.expectationsMutable.push(needed);
  else if (!accepts(needed, own.value)) {
    state.ownMismatches.push({ variable, expectation: needed, value: own.value });
  }
}

/** Notes that a step needs these not to change while it is under way. Errors: none. */
export function noteUses(step: number, variables: readonly Variable[], isSound: boolean): void {
  for (const { usesMutable } of variables) {
    if (usesMutable.at(-1)?.step !== step) usesMutable.push({ step, isSound });
    else if (!isSound) usesMutable[usesMutable.length - 1] = { step, isSound };
  }
}

/** Changes a variable. Errors: none. */
export function setValue(
  state: PlanState,
  variable: Variable,
  change: { step: number; value: string },
): void {
  noteChange(variable, change);
  state.values.set(variable, change.value);
}

/** A place as a value. Errors: none. */
export function placeValue(place: Place): string {
  if ("site" in place) return `site:${place.site}`;
  return "item" in place ? `item:${place.item}` : `position:${place.position}`;
}

/** A value as the place that it stands for. Errors: none for values of `placeValue`. */
export function valueToPlace(value: string): Place {
  const at = value.indexOf(":");
  const id = value.slice(at + 1);
  if (value.startsWith("site")) return { site: id as SiteId };
  return value.startsWith("item") ? { item: id as ItemId } : { position: id as PositionId };
}

/** What an item is in, step by step outward, and where the outermost is. */
export type Containment = {
  /** The items around it, from the nearest; those that were looked at. */
  readonly around: readonly ItemId[];
  /** Null if items hold each other in a ring. */
  readonly root: { readonly site: SiteId } | { readonly position: PositionId } | null;
};

/** Follows a place outward. Errors: none. */
export function containmentOf(state: PlanState, place: Place): Containment {
  const around: ItemId[] = [];
  let at = place;
  while ("item" in at) {
    if (around.includes(at.item)) return { around, root: null };
    around.push(at.item);
    at = valueToPlace(valueOf(state, "item", at.item));
  }
  return { around, root: at };
}

/** Whether a hand gets to a place, and the variables that this depends on. */
export type Reach = { readonly isInReach: boolean; readonly uses: readonly Variable[] };

/** Whether a position can lay a hand on what is at a place. Errors: none. */
export function reachOf(state: PlanState, hand: PositionId, place: Place): Reach {
  const { around, root } = containmentOf(state, place);
  const containers = around.map((item) => variableOf(state, "item", item));
  if (root === null) return { isInReach: false, uses: containers };
  if ("position" in root && root.position === hand) return { isInReach: true, uses: containers };
  const person = variableOf(state, "person", hand);
  const other = "position" in root ? variableOf(state, "person", root.position) : null;
  const target = other === null ? (root as { site: SiteId }).site : state.values.get(other);
  const touch = touchOf(state, state.values.get(person) as string, target as string);
  const uses = [...containers, person, ...(other === null ? [] : [other]), ...touch.uses];
  return { isInReach: touch.isInReach, uses };
}

/**
 * Whether who is at one site can touch what is at another: the same site, or an arm's tip and the
 * site that it is at. Who is at no site is bound to none.
 *
 * Errors: none.
 */
export function touchOf(state: PlanState, at: string, target: string): Reach {
  if (at === "" || target === "" || at === target) return { isInReach: true, uses: [] };
  const arm = armJoining(state, at, target);
  if (arm === null) return { isInReach: false, uses: [] };
  const variable = variableOf(state, "arm", arm.id);
  const armAt = state.values.get(variable);
  return { isInReach: armAt === at || armAt === target, uses: [variable] };
}

/** The arm whose tip one of two sites is, if it can be brought to the other; else null. Errors: none. */
export function armJoining({ index }: PlanState, a: string, b: string): Arm | null {
  const joins = (arm: Arm) =>
    (arm.tip === a && arm.reaches.some((site) => site === b)) ||
    (arm.tip === b && arm.reaches.some((site) => site === a));
  return index.procedure.arms.find(joins) ?? null;
}

/** The arm on whose tip a site is; null if it is none. Errors: none. */
export function armOfTip({ index }: PlanState, site: string): Arm | null {
  return index.procedure.arms.find((arm) => arm.tip === site) ?? null;
}

/** Notes a finding that the walk tells from what is now so; see [plan-state 1]. Errors: none. */
export function noteFound(state: PlanState, found: WalkFinding): void {
  state.found.push(found);
}

/** The step of a number. Errors: none. */
export function stepAt({ order }: PlanState, number: number): Step {
  return order.steps[number] as Step;
}

/** The id of a number's step; none for the end of the run and the start. Errors: none. */
export function idsAt({ order }: PlanState, numbers: readonly number[]): readonly StepId[] {
  return numbers.flatMap((number) => order.steps[number]?.id ?? []);
}

/** What an expectation needs besides its kind. */
export type Need = {
  readonly step: number;
  readonly values: readonly string[];
  readonly isWanted?: boolean;
  readonly kind: FindingKind;
};

/** Notes that a step needs one of the values; see `expectValue`. Errors: none. */
export function needValue(state: PlanState, variable: Variable, need: Need): void {
  expectValue(state, variable, { isWanted: true, ...need });
}

function startOfLine(tether: { readonly startsAnchoredAt: SiteId | null }): readonly SiteId[] {
  return tether.startsAnchoredAt === null ? [] : [tether.startsAnchoredAt];
}

function addVariable(state: PlanState, variable: Variable): void {
  state.variables.set(`${variable.sort} ${variable.id}`, variable);
  state.values.set(variable, variable.startsAs);
}
