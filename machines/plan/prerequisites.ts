// Prerequisites: everything that a step relies on has been brought about, in every interleaving.
//
// [prerequisites 1] Each condition of a step is so from its start to its end.
// [prerequisites 2] Hardware is worked by one who is there.
// [prerequisites 3] Nobody leaves a connector parted and without a cap, and none is so at the end;
//   what is called capped has a cap put on it.
// [prerequisites 4] A restraint is stood in where it is installed, by one who is there.
// [prerequisites 5] An arm goes from where it is, and carries nobody who is not in a restraint on its
//   tip, or who still hangs on something else.

import type { ArmId, HardwareId, PositionId, SiteId } from "../procedure/ids.ts";
import type { Condition } from "../procedure/condition.ts";
import type { Effect } from "../procedure/step.ts";
import { placeOf } from "./finding.ts";
import type { FindingKind, FindingPlace } from "./finding.ts";
import type { Variable } from "./ledger.ts";
import {
  expectValue,
  needValue,
  noteFound,
  noteUses,
  placeValue,
  setValue,
  stepAt,
  touchOf,
  valueOf,
  variableOf,
} from "./plan-state.ts";
import type { PlanState } from "./plan-state.ts";
import { positionWords, siteWords, stepWords } from "./plan-words.ts";

type EffectOf<Kind extends Effect["kind"]> = Extract<Effect, { readonly kind: Kind }>;

/** State of a connector that is apart; the word that documents use. */
const parted = "parted";
const capped = "capped";

/** Notes every condition of a step. Errors: none. */
export function checkConditions(state: PlanState, number: number): void {
  for (const condition of stepAt(state, number).requires) {
    const { variable, value, kind } = conditionVariable(state, condition);
    needValue(state, variable, { step: number, values: [value], kind });
  }
}

/** The variable that a condition tells of, the value that makes it so. Errors: none. */
export function conditionVariable(
  state: PlanState,
  condition: Condition,
): { readonly variable: Variable; readonly value: string; readonly kind: FindingKind } {
  if ("hardware" in condition) {
    const variable = variableOf(state, "hardware", condition.hardware);
    return { variable, value: condition.state, kind: "condition-never" };
  }
  if ("item" in condition) {
    const variable = variableOf(state, "item", condition.item);
    return { variable, value: placeValue(condition.at), kind: "item-not-there" };
  }
  if ("arm" in condition) {
    const variable = variableOf(state, "arm", condition.arm);
    return { variable, value: condition.at, kind: "arm-not-there" };
  }
  const variable = variableOf(state, "restraint", condition.position);
  return { variable, value: condition.inRestraint, kind: "restraint-not-there" };
}

/** Sets hardware. Errors: none. */
export function setHardware(
  state: PlanState,
  number: number,
  effect: EffectOf<"hardware-set">,
): void {
  const step = stepAt(state, number);
  const hardware = state.index.hardwareById.get(effect.hardware);
  if (hardware === undefined) return;
  if (hardware.site !== null) checkAtHardware(state, number, hardware.id, hardware.site);
  if (effect.state === capped && !putsCapOn(state, number, hardware.site)) {
    noteCap(state, number, hardware.id, {
      says: `${stepWords(state.index, step.id)} calls ${hardware.name} capped, but puts no cap on it.`,
      mend: `Say in the step's effects which cap goes to ${siteWords(state.index, hardware.site)}.`,
    });
  }
  if (effect.state === parted) state.partedBy.set(hardware.id, step.lane);
  else state.partedBy.delete(hardware.id);
  const variable = variableOf(state, "hardware", hardware.id);
  setValue(state, variable, { step: number, value: effect.state });
}

/** Reports a connector that the one who parted it leaves without a cap. Errors: none. */
export function checkLeftBehind(
  state: PlanState,
  number: number,
  { position, from, to }: EffectOf<"person-moved">,
): void {
  if (from === to) return;
  for (const [id, lane] of state.partedBy) {
    const hardware = state.index.hardwareById.get(id as HardwareId);
    if (lane !== position || hardware?.site !== from) continue;
    noteCap(state, number, hardware.id, {
      says: `${positionWords(state.index, position)} leaves ${hardware.name} parted and without a cap in ${stepWords(state.index, stepAt(state, number).id)}.`,
      mend: "Put a cap on it, or mate it again, before that.",
    });
    // Said once; at the end it would be the same again.
    state.partedBy.delete(id);
  }
}

/** No connector is parted at the end that the plan has parted. Errors: none. */
export function checkHardwareEnd(state: PlanState): void {
  const step = state.order.steps.length;
  for (const id of state.partedBy.keys()) {
    const values = [parted];
    const variable = variableOf(state, "hardware", id);
    expectValue(state, variable, { step, values, isWanted: false, kind: "cap-missing" });
  }
}

/** Lets a person step into a restraint. Errors: none. */
export function enterRestraint(
  state: PlanState,
  number: number,
  { position, item }: EffectOf<"restraint-entered">,
): void {
  const person = variableOf(state, "person", position);
  const restraint = variableOf(state, "restraint", position);
  const at = state.values.get(person) as SiteId;
  const sort = state.index.sitesById.get(at)?.sort;
  const kind = "restraint-not-there";
  noteUses(number, [person], true);
  if (sort === "worksite" || sort === "arm-tip") {
    const values = [placeValue({ site: at })];
    needValue(state, variableOf(state, "item", item), { step: number, values, kind });
  } else noteNoSocket(state, number, { position, item, at });
  needValue(state, restraint, { step: number, values: [""], kind });
  setValue(state, restraint, { step: number, value: item });
  state.restraintStays.push({ position, at: item, enteredBy: number, leftByMutable: null });
}

/** Moves an arm. Errors: none. */
export function moveArm(state: PlanState, number: number, effect: EffectOf<"arm-moved">): void {
  const arm = state.index.armsById.get(effect.arm);
  if (arm === undefined) return;
  const variable = variableOf(state, "arm", arm.id);
  needValue(state, variable, { step: number, values: [effect.from], kind: "arm-not-there" });
  for (const { id } of state.index.procedure.positions) {
    if (valueOf(state, "person", id) === arm.tip) checkRider(state, number, id, arm.id);
  }
  setValue(state, variable, { step: number, value: effect.to });
}

function checkAtHardware(state: PlanState, number: number, id: HardwareId, site: SiteId): void {
  const { index } = state;
  const step = stepAt(state, number);
  const person = variableOf(state, "person", step.lane);
  const at = state.values.get(person) as SiteId;
  const reach = touchOf(state, at, site);
  const uses = [person, ...reach.uses];
  noteUses(number, uses, reach.isInReach);
  if (reach.isInReach) return;
  const name = positionWords(index, step.lane);
  const hardware = index.hardwareById.get(id)?.name ?? id;
  notePrerequisite(state, number, {
    kind: "person-not-there",
    where: { positions: [step.lane], sites: [site, at], hardware: [id] },
    says: `${stepWords(index, step.id)} works ${hardware} at ${siteWords(index, site)}, but ${name} is then at ${siteWords(index, at)}.`,
    mend: `Bring ${name} there first, or mend where ${hardware} is.`,
    uses,
  });
}

function putsCapOn(state: PlanState, number: number, site: SiteId | null): boolean {
  return stepAt(state, number).effects.some(
    (effect) =>
      effect.kind === "item-moved" &&
      state.index.itemsById.get(effect.item)?.sort === "cap" &&
      (site === null || placeValue(effect.to) === placeValue({ site })),
  );
}

function noteCap(
  state: PlanState,
  number: number,
  id: HardwareId,
  words: { readonly says: string; readonly mend: string },
): void {
  const uses = [variableOf(state, "hardware", id)];
  const where = { hardware: [id], positions: [stepAt(state, number).lane] };
  notePrerequisite(state, number, { kind: "cap-missing", where, uses, ...words });
}

function noteNoSocket(
  state: PlanState,
  number: number,
  { position, item, at }: { position: PositionId; item: string; at: SiteId },
): void {
  const { index } = state;
  const found = index.procedure.items.filter(({ id }) => id === item);
  notePrerequisite(state, number, {
    kind: "restraint-not-there",
    where: { positions: [position], items: found.map(({ id }) => id), sites: [at] },
    says: `${stepWords(index, stepAt(state, number).id)} steps into ${found[0]?.name ?? item} at ${siteWords(index, at)}, which is no worksite and no arm tip.`,
    mend: "Install it at a worksite or on the arm, and go there first.",
    uses: [variableOf(state, "person", position)],
  });
}

function checkRider(state: PlanState, number: number, rider: PositionId, armId: ArmId): void {
  const { index } = state;
  const arm = index.armsById.get(armId);
  const restraint = variableOf(state, "restraint", rider);
  const item = state.values.get(restraint) as string;
  const isHeld =
    item !== "" && valueOf(state, "item", item) === placeValue({ site: arm?.tip as SiteId });
  const tethers = index.procedure.tethers.filter((tether) => tether.wornBy === rider);
  const hooked = tethers.filter(({ id }) => {
    const anchor = valueOf(state, "tether", id);
    return anchor !== "" && anchor !== arm?.tip;
  });
  const uses = [restraint, variableOf(state, "person", rider)];
  uses.push(...tethers.map(({ id }) => variableOf(state, "tether", id)));
  noteUses(number, uses, isHeld && hooked.length === 0);
  // Said once for each thing that is wrong, not at every ride.
  const isNews = (wrong: string) => {
    const key = `${armId} ${rider} ${wrong}`;
    return !state.ridersTold.has(key) && state.ridersTold.add(key).size > 0;
  };
  const name = positionWords(index, rider);
  const words = { kind: "arm-rider", uses } as const;
  const where = { arms: [armId], positions: [rider] };
  const step = stepWords(index, stepAt(state, number).id);
  if (!isHeld && isNews("stands free")) {
    notePrerequisite(state, number, {
      ...words,
      where,
      says: `${step} moves ${arm?.name} with ${name} on its tip in no foot restraint.`,
      mend: `Let ${name} step into a restraint on the tip before that.`,
    });
  }
  for (const { id, name: tether } of hooked.filter((other) => isNews(other.id))) {
    const anchor = siteWords(index, valueOf(state, "tether", id) as SiteId);
    notePrerequisite(state, number, {
      ...words,
      where: { ...where, tethers: [id] },
      says: `${step} moves ${arm?.name} while ${tether} still holds ${name} at ${anchor}.`,
      mend: `Let go of ${tether} before that, with another one hooked to the tip.`,
    });
  }
}

type PrerequisiteWords = {
  readonly kind: FindingKind;
  readonly where: Partial<FindingPlace>;
  readonly says: string;
  readonly mend: string;
  readonly uses: readonly Variable[];
};

function notePrerequisite(state: PlanState, number: number, words: PrerequisiteWords): void {
  const steps = [stepAt(state, number).id];
  noteFound(state, {
    finding: {
      kind: words.kind,
      grade: "fault",
      where: placeOf({ steps, ...words.where }),
      says: words.says,
      witness: { sort: "orders", orders: [steps] },
      mend: { says: words.mend, edits: [] },
      onlyWith: [],
    },
    step: number,
    uses: words.uses,
  });
}
