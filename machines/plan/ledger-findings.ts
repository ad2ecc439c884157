// From the ledger to findings: what is so in no interleaving, and what only in some.
//
// [ledger-findings 1] What no interleaving makes so is one finding with all the steps that rely on it.
// [ledger-findings 2] What some interleavings make so, and others not, is a clash with both of them.

import type { StepId } from "../procedure/ids.ts";
import { tightestClashes } from "./clash.ts";
import type { Clash, ClashTeller } from "./clash.ts";
import type { Finding, FindingKind } from "./finding.ts";
import { changesBeside, clashingChanges, isChain, judgeExpectation } from "./ledger.ts";
import { accepts } from "./ledger.ts";
import type { Expectation, Outcome, Variable, VariableSort } from "./ledger.ts";
import type { Edit } from "./mend.ts";
import { idsAt, valueToPlace } from "./plan-state.ts";
import type { PlanState } from "./plan-state.ts";
import { listWords, stepWords } from "./plan-words.ts";
import { isVariableWords, variableName, variablePlace, valueWords } from "./variable-words.ts";

/** Every finding that the ledger comes to, variable by variable. Errors: none. */
export function findInLedger(state: PlanState, teller: ClashTeller): readonly Finding[] {
  const findings: Finding[] = [];
  for (const variable of state.variables.values()) {
    const { never, clashes } = judgeVariable(state, variable);
    for (const group of never) findings.push(neverFinding(state, variable, group));
    for (const clash of tightestClashes(state.order, clashes)) {
      findings.push(clashFinding(state, variable, clash, teller));
    }
  }
  for (const { variable, expectation, value } of state.ownMismatches) {
    const outcome = { valuesBefore: [value], changesBefore: [expectation.step] };
    findings.push(neverFinding(state, variable, { expectations: [expectation], ...outcome }));
  }
  return findings;
}

type Never = {
  readonly expectations: Expectation[];
  readonly valuesBefore: readonly string[];
  readonly changesBefore: readonly number[];
};

type VariableClash = Clash & { readonly expectation: Expectation | null };

// A document that clashes everywhere is not helped by every pair.
const clashesPerVariable = 100;

function judgeVariable(
  state: PlanState,
  variable: Variable,
): { never: readonly Never[]; clashes: readonly VariableClash[] } {
  const never = new Map<string, Never>();
  const clashes: VariableClash[] = [];
  const isInChain = isChain(state.order, variable.changesMutable);
  const isQuiet = isInChain && isUndisturbed(state, variable);
  for (const expectation of variable.expectationsMutable) {
    if (clashes.length >= clashesPerVariable) break;
    const outcome = judgeExpectation(state.order, variable, expectation, isInChain);
    if (outcome === null) continue;
    const found = clashesOf(state, outcome, expectation);
    if (found.length === 0) addNever(never, expectation, outcome);
    else clashes.push(...found.slice(0, Math.max(0, clashesPerVariable - clashes.length)));
  }
  if (!isQuiet) clashes.push(...otherClashes(state, variable, clashesPerVariable - clashes.length));
  return { never: [...never.values()], clashes };
}

// Nobody but one lane has anything to do with it.
function isUndisturbed({ order }: PlanState, variable: Variable): boolean {
  const { changesMutable: changes, usesMutable: uses } = variable;
  if (changes.length === 0) return true;
  const lane = order.steps[(changes[0] as { step: number }).step]?.lane;
  const isOwn = ({ step }: { readonly step: number }) => order.steps[step]?.lane === lane;
  return changes.every(isOwn) && uses.every(isOwn);
}

function addNever(groups: Map<string, Never>, expectation: Expectation, outcome: Outcome): void {
  const { kind, values, isWanted } = expectation;
  const key = [kind, isWanted, ...values, "|", ...outcome.changesBefore].join(" ");
  const group = groups.get(key);
  if (group === undefined) groups.set(key, { expectations: [expectation], ...outcome });
  else group.expectations.push(expectation);
}

// None: it is met in no interleaving at all.
function clashesOf(
  { order }: PlanState,
  outcome: Outcome,
  expectation: Expectation,
): readonly VariableClash[] {
  const { step } = expectation;
  const { isMetBefore, beside, changesBefore, valuesBefore } = outcome;
  const clashes: VariableClash[] = [];
  for (const change of beside) {
    if (change.isAccepted && !isMetBefore) {
      clashes.push({ first: change.step, second: step, isMended: true, isSure: true, expectation });
    } else if (!change.isAccepted) {
      const helped = beside.some(({ isAccepted }) => isAccepted);
      if (!isMetBefore && !helped) continue;
      clashes.push({
        first: step,
        second: change.step,
        isMended: isMetBefore,
        isSure: true,
        expectation,
      });
    }
  }
  for (const [place, first] of changesBefore.entries()) {
    for (const [otherPlace, second] of changesBefore.entries()) {
      if (accepts(expectation, valuesBefore[place] as string)) continue;
      if (!accepts(expectation, valuesBefore[otherPlace] as string)) continue;
      clashes.push({ first, second, isMended: true, isSure: true, expectation });
    }
  }
  return clashes.filter(({ first, second }) => Math.max(first, second) < order.steps.length);
}

function otherClashes({ order }: PlanState, variable: Variable, room: number): VariableClash[] {
  const clashes: VariableClash[] = [];
  for (const { step, isSound } of variable.usesMutable) {
    if (clashes.length >= room) return clashes;
    for (const change of changesBeside(order, variable, step)) {
      const [low, high] = [Math.min(step, change.step), Math.max(step, change.step)];
      const [first, second] = isSound ? [low, high] : [high, low];
      clashes.push({ first, second, isMended: true, isSure: false, expectation: null });
    }
  }
  for (const [a, b] of clashingChanges(order, variable, Math.max(0, room - clashes.length))) {
    clashes.push({
      first: a.step,
      second: b.step,
      isMended: true,
      isSure: false,
      expectation: null,
    });
  }
  return clashes;
}

function neverFinding(state: PlanState, variable: Variable, group: Never): Finding {
  const { index, order } = state;
  const [{ kind, step, values, isWanted }] = group.expectations as [Expectation];
  const steps = idsAt(state, [...new Set(group.expectations.map((e) => e.step))]);
  const causes = idsAt(
    state,
    group.changesBefore.filter((number) => number !== step),
  );
  const name = variableName(index, variable);
  const is = listWords(group.valuesBefore.map((value) => valueWords(index, variable.sort, value)));
  const wanted = values.map((value) => valueWords(index, variable.sort, value)).join(" or ");
  const since =
    causes.length === 0 ? "" : `, since ${listWords(causes.map((id) => stepWords(index, id)))}`;
  const must = isWanted ? wanted : `not ${wanted}`;
  const says =
    step >= order.steps.length
      ? `At the end ${name} is ${is}${since}; it must be ${must}.`
      : `${stepWords(index, steps[0] as StepId)} needs ${name} to be ${must}, but then it is ${is}${since}.${moreWords(steps)}`;
  return {
    kind,
    grade: "fault",
    where: variablePlace(variable, steps),
    says,
    witness: { sort: "orders", orders: [[...causes, ...steps.slice(0, 1)]] },
    mend: {
      says: `Have ${name} be ${must} before that, or mend what is asked for.`,
      edits: takeFromEdits(state, variable, group),
    },
    onlyWith: [],
  };
}

function moreWords(steps: readonly StepId[]): string {
  return steps.length < 2 ? "" : ` So do ${steps.length - 1} more.`;
}

// An item that is taken from the wrong place may be taken from where it is.
function takeFromEdits(state: PlanState, variable: Variable, group: Never): readonly Edit[] {
  const [value] = group.valuesBefore;
  if (variable.sort !== "item" || group.valuesBefore.length !== 1 || value === undefined) return [];
  const edits: Edit[] = [];
  for (const { step: number } of group.expectations) {
    const step = state.order.steps[number];
    const isMoving = step?.effects.some((e) => e.kind === "item-moved" && e.item === variable.id);
    const isAsked = step?.requires.some((c) => "item" in c && c.item === variable.id);
    if (step === undefined || isMoving !== true || isAsked === true) return [];
    const item = variable.id as Extract<Edit, { edit: "take-from" }>["item"];
    edits.push({ edit: "take-from", step: step.id, item, from: valueToPlace(value) });
  }
  return edits;
}

const unorderedKinds: Readonly<Record<VariableSort, FindingKind>> = {
  item: "item-unordered",
  person: "person-unordered",
  hardware: "condition-unordered",
  arm: "arm-unordered",
  tether: "tether-unordered",
  restraint: "restraint-unordered",
};

function clashFinding(
  state: PlanState,
  variable: Variable,
  clash: VariableClash,
  teller: ClashTeller,
): Finding {
  const { index } = state;
  const { expectation } = clash;
  const [first, second] = idsAt(state, [clash.first, clash.second]) as [StepId, StepId];
  const name = variableName(index, variable);
  const isPath = expectation?.kind === "path-closed" || expectation?.kind === "path-missing";
  const grade = teller.grade(clash);
  const kept = grade === "doubt" ? " Only the durations keep them in that order." : "";
  const needing = expectation === null ? [] : idsAt(state, [expectation.step]);
  const wants = expectation === null ? "" : wantWords(state, variable, expectation);
  return {
    kind: isPath ? "path-unordered" : unorderedKinds[variable.sort],
    grade,
    // The two come first, then the step that needs them in order, if that is a third.
    where: variablePlace(variable, [...new Set([first, second, ...needing])]),
    says:
      `Nothing says which comes first, ${stepWords(index, first)} or ${stepWords(index, second)}, ` +
      `and both depend on ${isVariableWords[variable.sort]} ${name} is.${wants}${kept}`,
    witness: teller.witness(clash),
    mend: teller.mend(clash),
    onlyWith: [],
  };
}

function wantWords(state: PlanState, variable: Variable, expectation: Expectation): string {
  const { index, order } = state;
  const { step, values, isWanted } = expectation;
  const who = order.steps[step];
  const wanted = values.map((value) => valueWords(index, variable.sort, value)).join(" or ");
  const needs =
    who === undefined ? "At the end it must be" : `${stepWords(index, who.id)} needs it`;
  return ` ${needs} ${isWanted ? "" : "not "}${wanted}.`;
}
