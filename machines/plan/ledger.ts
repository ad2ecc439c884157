// The ledger of a plan: who changes and who relies on what, and whether it is so in every interleaving.
//
// Definition: a *variable* is where an item, a person or an arm is, at what a tether is anchored, in
//   what restraint a person stands, or the state of hardware. Every change sets it to a value that
//   the document states, so that its value depends on nothing but which change came last.
// Definition: an *expectation* is a step's need that a variable has, or has not, some value while it
//   is under way. A *use* is a step's need that a variable does not change while it is under way.
// [ledger 1] An expectation is met in every interleaving exactly if the last changes before the step
//   and every change side by side with it leave a value that it accepts.
// [ledger 2] A use is undisturbed in every interleaving exactly if no other step's change is side by
//   side with it.

import type { FindingKind } from "./finding.ts";
import { areSideBySide, isBefore } from "./happens-before.ts";
import type { PlanOrder } from "./happens-before.ts";

/** What sort of thing a variable tells of. */
export type VariableSort = "item" | "person" | "hardware" | "arm" | "tether" | "restraint";

/** A change of a variable; `step` is a number of the plan's order. */
export type Change = { readonly step: number; readonly value: string };

/** A need for a value. */
export type Expectation = {
  /** A number of the plan's order; the count of steps stands for the end of the run. */
  readonly step: number;
  readonly values: readonly string[];
  /** True: one of the values; false: none of them. */
  readonly isWanted: boolean;
  /** The kind of finding if it is met in no interleaving. */
  readonly kind: FindingKind;
};

/** One variable with all that the plan does to it, in the order of the numbers. */
export type Variable = {
  readonly sort: VariableSort;
  readonly id: string;
  readonly startsAs: string;
  readonly changesMutable: Change[];
  readonly expectationsMutable: Expectation[];
  readonly usesMutable: { readonly step: number; readonly isSound: boolean }[];
};

/** How an expectation fares over all interleavings. */
export type Outcome = {
  /** Values that the last changes before the step may leave. */
  readonly valuesBefore: readonly string[];
  /** The steps of those last changes; empty if the variable is as at the start. */
  readonly changesBefore: readonly number[];
  readonly isMetBefore: boolean;
  /** Changes side by side with the step. */
  readonly beside: readonly (Change & { readonly isAccepted: boolean })[];
};

/** A variable that nothing has touched. Errors: none. */
export function createVariable(sort: VariableSort, id: string, startsAs: string): Variable {
  return {
    sort,
    id,
    startsAs,
    changesMutable: [],
    expectationsMutable: [],
    usesMutable: [],
  };
}

/** Notes a change; of several by one step the last one stands. Errors: none. */
export function noteChange({ changesMutable }: Variable, change: Change): void {
  if (changesMutable.at(-1)?.step === change.step) changesMutable.pop();
  changesMutable.push(change);
}

/** Whether an expectation accepts a value. Errors: none. */
export function accepts(expectation: Expectation, value: string): boolean {
  return expectation.values.includes(value) === expectation.isWanted;
}

/**
 * How an expectation fares; null if it is met in every interleaving.
 *
 * @param isInChain whether the variable's changes are a chain, which most are; see `isChain`
 * Errors: none.
 */
export function judgeExpectation(
  order: PlanOrder,
  variable: Variable,
  expectation: Expectation,
  isInChain: boolean,
): Outcome | null {
  if (isInChain && isMetByChain(order, variable, expectation)) return null;
  const { step } = expectation;
  const before: Change[] = [];
  const beside: (Change & { isAccepted: boolean })[] = [];
  for (const change of variable.changesMutable) {
    if (change.step === step) continue;
    if (isBefore(order, change.step, step)) before.push(change);
    else if (step < order.steps.length && !isBefore(order, step, change.step)) {
      beside.push({ ...change, isAccepted: accepts(expectation, change.value) });
    }
  }
  const last = lastChanges(order, before);
  const valuesBefore = last.length === 0 ? [variable.startsAs] : last.map(({ value }) => value);
  const isMetBefore = valuesBefore.every((value) => accepts(expectation, value));
  if (isMetBefore && beside.every(({ isAccepted }) => isAccepted)) return null;
  return { valuesBefore, changesBefore: last.map(({ step: at }) => at), isMetBefore, beside };
}

// Of a chain, those before the step come first, then those beside it, then those after it.
function isMetByChain(order: PlanOrder, variable: Variable, expectation: Expectation): boolean {
  const { changesMutable: changes, startsAs } = variable;
  const { step } = expectation;
  let [low, high] = [0, changes.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    const { step: at } = changes[middle] as Change;
    if (at !== step && isBefore(order, at, step)) low = middle + 1;
    else high = middle;
  }
  const last = changes[low - 1];
  if (!accepts(expectation, last === undefined ? startsAs : last.value)) return false;
  if (step >= order.steps.length) return true;
  for (let place = low; place < changes.length; place += 1) {
    const change = changes[place] as Change;
    if (change.step !== step && isBefore(order, step, change.step)) return true;
    if (change.step !== step && !accepts(expectation, change.value)) return false;
  }
  return true;
}

/** Changes that disturb a use. Errors: none. */
export function changesBeside(order: PlanOrder, variable: Variable, step: number): Change[] {
  return variable.changesMutable.filter((change) => areSideBySide(order, change.step, step));
}

/** Pairs of changes to different values that nothing orders, up to so many. Errors: none. */
export function clashingChanges(
  order: PlanOrder,
  variable: Variable,
  pairsMax: number,
): [Change, Change][] {
  const pairs: [Change, Change][] = [];
  const changes = variable.changesMutable;
  if (isChain(order, changes)) return pairs;
  for (const [place, first] of changes.entries()) {
    if (pairs.length >= pairsMax) return pairs;
    for (let next = place + 1; next < changes.length; next += 1) {
      const second = changes[next] as Change;
      if (first.value !== second.value && areSideBySide(order, first.step, second.step)) {
        pairs.push([first, second]);
      }
    }
  }
  return pairs;
}

/** Whether each change is before the next. Errors: none. */
export function isChain(order: PlanOrder, changes: readonly Change[]): boolean {
  for (let place = 1; place < changes.length; place += 1) {
    const [a, b] = [changes[place - 1] as Change, changes[place] as Change];
    if (!isBefore(order, a.step, b.step)) return false;
  }
  return true;
}

// Those that no other one is after. Numbers rise, so that the last one is always among them.
function lastChanges(order: PlanOrder, before: readonly Change[]): readonly Change[] {
  const last: Change[] = [];
  for (let place = before.length - 1; place >= 0; place -= 1) {
    const change = before[place] as Change;
    if (!last.some((later) => isBefore(order, change.step, later.step))) last.push(change);
  }
  return last;
}
