// Tethers: outside the hatch each suited person hangs on one at every moment, and none is too short.
//
// Definition: a tether's *line* runs from its anchor past the sites that its wearer has passed since,
//   with every way there and back again taken out.
// [tethers 1] After every single effect, a suited person outside the hatch has an anchored tether:
//   make before break.
// [tethers 2] A line is never longer than its tether.
// [tethers 3] A tether is hooked where its wearer is and may hook it, if it hangs free, and let go of
//   where it is hooked.

import type { PositionId, SiteId, TetherId } from "../procedure/ids.ts";
import type { Tether } from "../procedure/procedure.ts";
import type { Effect } from "../procedure/step.ts";
import { placeOf } from "./finding.ts";
import type { Mend } from "./finding.ts";
import { needValue, noteFound, noteUses, setValue, stepAt, touchOf } from "./plan-state.ts";
import { armOfTip, valueOf, variableOf } from "./plan-state.ts";
import type { Line, PlanState } from "./plan-state.ts";
import { positionWords, siteWords, stepWords } from "./plan-words.ts";

type TetherEffect = Extract<Effect, { readonly kind: `tether-${string}` }>;

/** Hooks a tether or lets go of it. Errors: none. */
export function workTether(state: PlanState, number: number, effect: TetherEffect): void {
  const tether = state.index.tethersById.get(effect.tether);
  if (tether === undefined) return;
  const variable = variableOf(state, "tether", tether.id);
  const person = variableOf(state, "person", tether.wornBy);
  const isHooking = effect.kind === "tether-anchored";
  const wanted = isHooking ? "" : effect.at;
  needValue(state, variable, { step: number, values: [wanted], kind: "tether-not-there" });
  const at = state.values.get(person) as string;
  const reach = touchOf(state, at, effect.at);
  noteUses(number, [person, ...reach.uses], reach.isInReach);
  if (!reach.isInReach) noteOutOfReach(state, number, tether, effect);
  setValue(state, variable, { step: number, value: isHooking ? effect.at : "" });
  const start: readonly SiteId[] = at === effect.at ? [effect.at] : [effect.at, at as SiteId];
  const route = isHooking ? start : [];
  addLine(state, tether.id, { step: number, route, metres: route.map(() => 0) });
  checkTethered(state, number, tether.wornBy);
}

/**
 * Brings the lines of a person's tethers along to a site.
 *
 * @param metres of the path that was taken; 0 for stepping onto or off an arm
 * Errors: none.
 */
export function passSite(state: PlanState, number: number, position: PositionId, way: Way): void {
  for (const tether of tethersOf(state, position)) {
    const line = lineOf(state, tether.id);
    if (line.route === null || line.route.length === 0) continue;
    const passed = extendLine(line, number, way);
    addLine(state, tether.id, passed);
    checkLength(state, number, tether, passed);
  }
}

/** One leg of a person's way. */
export type Way = { readonly site: SiteId; readonly metres: number };

/** Reports a suited person who is outside without a tether, once. Errors: none. */
export function checkTethered(state: PlanState, number: number, position: PositionId): void {
  const person = state.index.positionsById.get(position);
  if (person?.sort !== "suited") return;
  const worn = tethersOf(state, position);
  const variables = worn.map((tether) => variableOf(state, "tether", tether.id));
  const at = valueOf(state, "person", position) as SiteId;
  const isOutside = at !== ("" as SiteId) && state.index.sitesById.get(at)?.sort !== "hatch";
  const isHeld = variables.some((variable) => state.values.get(variable) !== "");
  if (number >= 0) {
    noteUses(number, [variableOf(state, "person", position), ...variables], isHeld || !isOutside);
  }
  if (isHeld || !isOutside) state.untethered.delete(position);
  else if (!state.untethered.has(position)) noteUntethered(state, number, position, at);
}

/** Lets nobody tell any more how a person's lines run. Errors: none. */
export function loseLines(state: PlanState, number: number, position: PositionId): void {
  for (const { id } of tethersOf(state, position)) {
    const anchored = valueOf(state, "tether", id) !== "";
    if (anchored) addLine(state, id, { step: number, route: null, metres: [] });
  }
}

/** The tethers that a position wears, in the document's order. Errors: none. */
export function tethersOf({ index }: PlanState, position: PositionId): readonly Tether[] {
  return index.procedure.tethers.filter((tether) => tether.wornBy === position);
}

function lineOf({ lines }: PlanState, id: TetherId): Line {
  return lines.get(id)?.at(-1) as Line;
}

function addLine({ lines }: PlanState, id: TetherId, line: Line): void {
  lines.get(id)?.push(line);
}

function extendLine({ route, metres }: Line, step: number, way: Way): Line {
  const sites = route as readonly SiteId[];
  const before = sites.indexOf(way.site);
  if (before >= 0) {
    return { step, route: sites.slice(0, before + 1), metres: metres.slice(0, before + 1) };
  }
  const out = metres.at(-1) ?? 0;
  return { step, route: [...sites, way.site], metres: [...metres, out + way.metres] };
}

function checkLength(state: PlanState, number: number, tether: Tether, line: Line): void {
  const out = line.metres.at(-1) ?? 0;
  if (out <= tether.lengthMetres + 1e-9) return;
  const { index } = state;
  const sites = line.route as readonly SiteId[];
  const step = stepAt(state, number);
  const tips = sites.flatMap((site) => armOfTip(state, site) ?? []);
  noteFound(state, {
    finding: {
      kind: "tether-too-short",
      grade: "fault",
      where: placeOf({
        steps: [step.id],
        positions: [tether.wornBy],
        tethers: [tether.id],
        sites: [...sites].reverse(),
      }),
      says:
        `${tether.name} is ${tether.lengthMetres} m long, and in ${stepWords(index, step.id)} ` +
        `its line from ${siteWords(index, sites[0] ?? null)} is ${metresWords(out)} m.`,
      witness: { sort: "route", sites },
      mend: {
        says: "Hook another tether further along first, let go of this one, or take a shorter way.",
        edits: [],
      },
      onlyWith: [],
    },
    step: number,
    uses: tips.map((arm) => variableOf(state, "arm", arm.id)),
  });
  // Said once; what follows on the same line would be the same again.
  addLine(state, tether.id, { step: number, route: null, metres: [] });
}

function metresWords(metres: number): string {
  return String(Math.round(metres * 100) / 100);
}

function noteUntethered(state: PlanState, number: number, id: PositionId, at: SiteId): void {
  const { index } = state;
  state.untethered.add(id);
  const name = positionWords(index, id);
  const step = number < 0 ? null : stepAt(state, number);
  const doing = step === null ? "at the start" : `in ${stepWords(index, step.id)}`;
  noteFound(state, {
    finding: {
      kind: "tether-none",
      grade: "fault",
      where: placeOf({
        steps: step === null ? [] : [step.id],
        positions: [id],
        sites: [at],
        tethers: tethersOf(state, id).map((tether) => tether.id),
      }),
      says: `${name} is outside at ${siteWords(index, at)} on no tether, ${doing}.`,
      witness: step === null ? null : { sort: "orders", orders: [[step.id]] },
      mend: mendUntethered(state, number, id),
      onlyWith: [],
    },
    step: Math.max(0, number),
    uses: [
      variableOf(state, "person", id),
      ...tethersOf(state, id).map((tether) => variableOf(state, "tether", tether.id)),
    ],
  });
}

// If the step lets go before it hooks, the two change places.
function mendUntethered(state: PlanState, number: number, position: PositionId): Mend {
  const step = number < 0 ? null : stepAt(state, number);
  const worn = new Set(tethersOf(state, position).map((tether) => tether.id));
  const first = (step?.effects ?? []).findIndex((effect, place, effects) => {
    const next = effects[place + 1];
    return (
      effect.kind === "tether-released" &&
      worn.has(effect.tether) &&
      next?.kind === "tether-anchored" &&
      worn.has(next.tether) &&
      next.tether !== effect.tether
    );
  });
  if (step === null || first < 0) {
    return {
      says: "Hook a tether before this, or keep the last one hooked until then.",
      edits: [],
    };
  }
  return {
    says: "Hook the next tether first, then let go of the last one.",
    edits: [{ edit: "swap-effects", step: step.id, first }],
  };
}

function noteOutOfReach(
  state: PlanState,
  number: number,
  tether: Tether,
  effect: TetherEffect,
): void {
  const { index } = state;
  const step = stepAt(state, number);
  const name = positionWords(index, tether.wornBy);
  const at = valueOf(state, "person", tether.wornBy) as SiteId;
  const act = effect.kind === "tether-anchored" ? "hooks" : "lets go of";
  noteFound(state, {
    finding: {
      kind: "tether-not-there",
      grade: "fault",
      where: placeOf({
        steps: [step.id],
        positions: [tether.wornBy],
        tethers: [tether.id],
        sites: [effect.at],
      }),
      says:
        `${stepWords(index, step.id)} ${act} ${tether.name} at ${siteWords(index, effect.at)}, ` +
        `where ${name} is not: ${name} is at ${siteWords(index, at)}.`,
      witness: { sort: "orders", orders: [[step.id]] },
      mend: { says: `Name the site where ${name} then is, or go there first.`, edits: [] },
      onlyWith: [],
    },
    step: number,
    uses: [variableOf(state, "person", tether.wornBy)],
  });
}
