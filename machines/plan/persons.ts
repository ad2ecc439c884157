// Persons: each step is done where its person is, each way is open, and everybody is back at the end.
//
// [persons 1] A step at a site is done by one who is there, or on an arm's tip that is there.
// [persons 2] A person sets out from where they are, in no restraint, on ways that are open, or steps
//   onto or off an arm that is there.
// [persons 3] At the end every suited person is at a hatch.

import type { PositionId, SiteId } from "../procedure/ids.ts";
import type { Effect, Step } from "../procedure/step.ts";
import { placeOf } from "./finding.ts";
import type { FindingKind } from "./finding.ts";
import type { Variable } from "./ledger.ts";
import { checkLeftBehind, conditionVariable } from "./prerequisites.ts";
import { checkTethered, loseLines, passSite } from "./tethers.ts";
import {
  armJoining,
  armOfTip,
  expectValue,
  needValue,
  noteFound,
  noteUses,
  setValue,
  stepAt,
  touchOf,
  variableOf,
} from "./plan-state.ts";
import type { PlanState } from "./plan-state.ts";
import { positionWords, siteWords, stepWords } from "./plan-words.ts";

/** Checks that a step's person is where the step is done. Errors: none. */
export function checkSite(state: PlanState, number: number): void {
  const step = stepAt(state, number);
  const person = variableOf(state, "person", step.lane);
  const at = state.values.get(person) as string;
  if (at === "") return;
  const tip = armOfTip(state, at);
  if (tip !== null && step.sort !== "ride-arm") {
    noteUses(number, [variableOf(state, "arm", tip.id)], true);
  }
  const move = step.effects.findLast((e) => e.kind === "person-moved" && e.position === step.lane);
  if (step.site === null) return;
  if (move?.kind === "person-moved") {
    if (move.to !== step.site) noteElsewhere(state, number, move.to, []);
    return;
  }
  if (at === step.site) {
    needValue(state, person, { step: number, values: [at], kind: "person-not-there" });
    return;
  }
  const reach = touchOf(state, at, step.site);
  noteUses(number, [person, ...reach.uses], reach.isInReach);
  if (reach.isInReach) return;
  noteElsewhere(state, number, at as SiteId, reach.uses);
  // With an arm between the two it may be the arm that is elsewhere; and if the lane goes on from where
  // the person is, it is the step's site that is wrong.
  const goesOn = siteOfNext(state, number);
  if (reach.uses.length > 0 || goesOn === at) return;
  adoptSite(state, number, step.lane, step.site);
}

// Where the lane's next step takes its person to be; null if it does not say.
function siteOfNext({ order }: PlanState, number: number): SiteId | null {
  const { lane } = order.steps[number] as Step;
  const next = order.steps.find((step, other) => other > number && step.lane === lane);
  const move = next?.effects.find((e) => e.kind === "person-moved" && e.position === lane);
  if (move?.kind === "person-moved") return move.from;
  return next?.site ?? null;
}

type PersonMoved = Extract<Effect, { readonly kind: "person-moved" }>;

/** Moves a person. Errors: none. */
export function movePerson(state: PlanState, number: number, effect: PersonMoved): void {
  const { position, from, to, via } = effect;
  const person = variableOf(state, "person", position);
  const restraint = variableOf(state, "restraint", position);
  needValue(state, person, { step: number, values: [from], kind: "person-not-there" });
  needValue(state, restraint, { step: number, values: [""], kind: "restraint-not-there" });
  if (state.values.get(restraint) !== "") leaveRestraint(state, number, position);
  checkLeftBehind(state, number, effect);
  if (via.length === 0) checkStepOver(state, number, effect);
  if (state.values.get(person) !== from) loseLines(state, number, position);
  let at = from;
  for (const id of via) {
    const path = state.index.pathsById.get(id);
    if (path === undefined) continue;
    for (const condition of path.closedWhile) {
      const { variable, value } = conditionVariable(state, condition);
      const needed = { step: number, values: [value], isWanted: false } as const;
      expectValue(state, variable, { ...needed, kind: "path-closed" });
    }
    at = path.from === at ? path.to : path.from;
    setValue(state, person, { step: number, value: at });
    passSite(state, number, position, { site: at, metres: path.lengthMetres });
    checkTethered(state, number, position);
  }
  setValue(state, person, { step: number, value: to });
  if (at !== to) passSite(state, number, position, { site: to, metres: 0 });
  checkTethered(state, number, position);
  changeStay(state, number, position, to);
}

/** Everybody in a suit is back at a hatch, if there is one. Errors: none. */
export function checkPersonsEnd(state: PlanState): void {
  const { positions, sites } = state.index.procedure;
  const hatches = sites.filter((site) => site.sort === "hatch").map((site) => site.id);
  const step = state.order.steps.length;
  for (const { id, sort, startsAt } of positions) {
    if (sort !== "suited" || startsAt === null || hatches.length === 0) continue;
    const person = variableOf(state, "person", id);
    needValue(state, person, { step, values: hatches, kind: "person-left-out" });
  }
}

/** Takes a person out of the restraint they are in. Errors: none. */
export function leaveRestraint(state: PlanState, number: number, position: PositionId): void {
  setValue(state, variableOf(state, "restraint", position), { step: number, value: "" });
  const stay = state.restraintStays.findLast(
    (other) => other.position === position && other.leftByMutable === null,
  );
  if (stay !== undefined) stay.leftByMutable = number;
}

function changeStay(state: PlanState, number: number, position: PositionId, at: string): void {
  const stays = state.siteStays.get(position);
  const last = stays?.at(-1);
  if (stays === undefined || last === undefined) return;
  last.leftByMutable = number;
  stays.push({ position, at, enteredBy: number, leftByMutable: null });
}

// The document says where the person is; going on from there keeps one fault from being many.
function adoptSite(state: PlanState, number: number, position: PositionId, site: SiteId): void {
  setValue(state, variableOf(state, "person", position), { step: number, value: site });
  changeStay(state, number, position, site);
  loseLines(state, number, position);
}

function checkStepOver(state: PlanState, number: number, effect: PersonMoved): void {
  const { from, to } = effect;
  if (from === to) return;
  const arm = armJoining(state, from, to);
  if (arm === null) {
    notePerson(state, number, {
      kind: "path-missing",
      position: effect.position,
      sites: [from, to],
      says: `${stepWords(state.index, stepAt(state, number).id)} goes from ${siteWords(state.index, from)} to ${siteWords(state.index, to)} by no path, and no arm joins them.`,
      mend: "Name the paths that are taken, or a site that the arm reaches.",
      uses: [],
    });
    return;
  }
  const other = arm.tip === from ? to : from;
  const variable = variableOf(state, "arm", arm.id);
  needValue(state, variable, { step: number, values: [other], kind: "path-missing" });
}

function noteElsewhere(
  state: PlanState,
  number: number,
  at: SiteId,
  uses: readonly Variable[],
): void {
  const { index } = state;
  const { id, lane, site } = stepAt(state, number);
  const name = positionWords(index, lane);
  notePerson(state, number, {
    kind: "person-not-there",
    position: lane,
    sites: site === null ? [at] : [site, at],
    says: `${stepWords(index, id)} is done at ${siteWords(index, site)}, but ${name} is then at ${siteWords(index, at)}.`,
    mend: `Bring ${name} to ${siteWords(index, site)} first, or mend the step's site.`,
    uses: [variableOf(state, "person", lane), ...uses],
  });
}

type PersonWords = {
  readonly kind: FindingKind;
  readonly position: PositionId;
  readonly sites: readonly SiteId[];
  readonly says: string;
  readonly mend: string;
  readonly uses: readonly Variable[];
};

function notePerson(state: PlanState, number: number, words: PersonWords): void {
  const { kind, position, sites, says, mend, uses } = words;
  const steps = [stepAt(state, number).id];
  noteFound(state, {
    finding: {
      kind,
      grade: "fault",
      where: placeOf({ steps, positions: [position], sites }),
      says,
      witness: { sort: "orders", orders: [steps] },
      mend: { says: mend, edits: [] },
      onlyWith: [],
    },
    step: number,
    uses,
  });
}
