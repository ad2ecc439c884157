// The plan check's order side: what can go wrong in some interleaving of the lanes.
//
// [check-plan 1] A finding-free plan of faults holds in every interleaving: no lane waits for ever,
//   each step finds what it relies on, nothing is crowded, everything is back at the end.
// [check-plan 2] Each fault holds in some interleaving, which its witness tells.
// [check-plan 3] Every play of the contingencies is checked; what is wrong only with some of them in
//   play says with which.
// [check-plan 4] The same procedure gives the same findings in the same order.

import type { TaskId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { createClashTeller } from "./clash.ts";
import { createGapSeconds } from "./clock-apart.ts";
import { findContention } from "./contention.ts";
import { listItemsLeftOut } from "./custody.ts";
import { freeDeadlocks } from "./deadlock.ts";
import { findingKey, placeOf, sortFindings } from "./finding.ts";
import type { Finding } from "./finding.ts";
import { closeOrder } from "./happens-before.ts";
import type { PlanOrder } from "./happens-before.ts";
import { findMissingHazards } from "./hazards.ts";
import { changesBeside } from "./ledger.ts";
import { findInLedger } from "./ledger-findings.ts";
import type { PlanState } from "./plan-state.ts";
import { listWords } from "./plan-words.ts";
import { areApart, playsOf, tasksNotCalled } from "./plays.ts";
import type { Play } from "./plays.ts";
import { findCrossedTethers } from "./tether-crossings.ts";
import { findUnreachableSites } from "./unreachable-sites.ts";
import { walkPlan } from "./walk-plan.ts";

/** Everything that the order of a plan shows, the most important first. Errors: none. */
export function checkPlan(index: ProcedureIndex): readonly Finding[] {
  const { findings, isPartial } = findInPlays(index);
  const all = [
    ...findings,
    ...findMissingHazards(index),
    ...taskFindings(index),
    ...findUnreachableSites(index),
    ...(isPartial ? [tooManyPlays] : []),
  ];
  return sortFindings(all, index.orderNumbers);
}

type InPlays = { readonly findings: readonly Finding[]; readonly isPartial: boolean };

// The plan without contingencies and with all of them; those between only if they may add something.
function findInPlays(index: ProcedureIndex): InPlays {
  const plays = playsOf(index);
  const [none, ...others] = plays as readonly [Play, ...Play[]];
  const all = others.at(-1);
  const found = new Map<string, Finding>();
  const note = (play: Play, findings: readonly Finding[]) => {
    for (const finding of findings) {
      const key = findingKey(finding);
      if (!found.has(key)) found.set(key, { ...finding, onlyWith: play });
    }
  };
  note(none, checkPlay(index, none));
  if (all === undefined) return { findings: [...found.values()], isPartial: false };
  const inAll = checkPlay(index, all);
  const isSilent = inAll.every((finding) => found.has(findingKey(finding)));
  const between = isSilent && areApart(index) ? [] : others.slice(0, -1);
  // A document with hundreds of contingencies is checked in its two ends.
  const isPartial = between.length * index.procedure.steps.length > stepsChecked;
  if (!isPartial) for (const play of between) note(play, checkPlay(index, play));
  note(all, inAll);
  return { findings: [...found.values()], isPartial };
}

const stepsChecked = 20_000;

/** The order of a play's steps, any circle cut. Errors: none. */
export function orderPlay(
  index: ProcedureIndex,
  play: Play,
): { readonly order: PlanOrder; readonly findings: readonly Finding[] } {
  const inPlay = new Set<TaskId>(play);
  const steps = index.procedure.steps.filter(
    (step) => !index.contingencySteps.has(step.id) || inPlay.has(step.task),
  );
  const { linked, findings } = freeDeadlocks(index, steps);
  return { order: closeOrder(linked), findings };
}

function checkPlay(index: ProcedureIndex, play: Play): readonly Finding[] {
  const { order, findings } = orderPlay(index, play);
  const state = walkPlan(index, order);
  const teller = createClashTeller(index, order, createGapSeconds(index, order));
  return [
    ...findings,
    ...state.found.filter((found) => isUndisturbed(state, found)).map(({ finding }) => finding),
    ...findInLedger(state, teller),
    ...findContention(state, teller),
    ...findCrossedTethers(state),
    // With a contingency in play the list would be almost the same again.
    ...(play.length === 0 ? listItemsLeftOut(state) : []),
  ];
}

// See [plan-state 1].
function isUndisturbed({ order }: PlanState, { step, uses }: PlanState["found"][number]): boolean {
  return uses.every((variable) => changesBeside(order, variable, step).length === 0);
}

function taskFindings(index: ProcedureIndex): readonly Finding[] {
  const tasks = tasksNotCalled(index);
  if (tasks.length === 0) return [];
  const names = tasks.map((id) => index.tasksById.get(id)?.name ?? id);
  return [
    {
      kind: "task-not-called",
      grade: "advice",
      where: placeOf({ tasks }),
      says: `No choice brings ${listWords(names)} into play, so it is never done and was not checked.`,
      witness: null,
      mend: { says: "Name it in a branch of a step's choice, or remove it.", edits: [] },
      onlyWith: [],
    },
  ];
}

const tooManyPlays: Finding = {
  kind: "plan-too-large",
  grade: "advice",
  where: placeOf({}),
  says: "The contingencies of this plan can come out in too many ways; only the plan without any and with as many as possible were checked.",
  witness: null,
  mend: { says: "Split the procedure.", edits: [] },
  onlyWith: [],
};
