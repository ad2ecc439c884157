// The world of a walk: where every person, item, tether, arm and piece of hardware is.
// Slow and obvious on purpose; it is what the plan check is held against.
//
// Definition: the *reach* of a person is the person's site; on an arm's tip, also the site that the tip is
//   at; at a site that a tip is at, also the tip.
// Definition: the *route* of an anchored tether is the sites its wearer passed since anchoring, with
//   every way there and back again taken out.

import type { Condition } from "../../machines/procedure/condition.ts";
import type { Place } from "../../machines/procedure/place.ts";
import type { Procedure, Site } from "../../machines/procedure/procedure.ts";
import type { Effect, Step } from "../../machines/procedure/step.ts";

/** What a walk may find wrong. */
export type WalkRule =
  | "after-unknown"
  | "arm-place"
  | "arm-rider"
  | "cap-missing"
  | "clock"
  | "deadlock"
  | "end-place"
  | "hazard-missing"
  | "item-place"
  | "item-reach"
  | "path"
  | "person-place"
  | "requirement"
  | "restraint"
  | "run-length"
  | "site-capacity"
  | "tether-anchor"
  | "tether-length"
  | "tether-none"
  | "unordered"
  | "window";

/** One thing wrong; `step` is null for what is wrong at the end. */
export type Inconsistency = {
  readonly rule: WalkRule;
  readonly step: string | null;
  readonly says: string;
};

/** Everything that a walk changes. Keys are ids of the procedure. */
export type World = {
  readonly procedure: Procedure;
  readonly siteByPosition: Map<string, string | null>;
  readonly restraintByPosition: Map<string, string>;
  readonly placeByItem: Map<string, Place>;
  /** Only anchored tethers; the first site of a route is the anchor. */
  readonly routeByTether: Map<string, readonly string[]>;
  readonly stateByHardware: Map<string, string>;
  readonly siteByArm: Map<string, string>;
  /** Connectors parted and not yet capped or mated again. */
  readonly parted: Set<string>;
  readonly report: (rule: WalkRule, step: Step | null, says: string) => void;
};

/** The world at the start of a run. */
export function createWorld(procedure: Procedure, report: World["report"]): World {
  const { positions, items, tethers, hardware, arms } = procedure;
  return {
    procedure,
    siteByPosition: new Map(positions.map((p) => [p.id, p.startsAt])),
    restraintByPosition: new Map(),
    placeByItem: new Map(items.map((i) => [i.id, i.startsAt])),
    routeByTether: new Map(
      tethers.flatMap((t) => (t.startsAnchoredAt ? [[t.id, [t.startsAnchoredAt]]] : [])),
    ),
    stateByHardware: new Map(hardware.map((h) => [h.id, h.startsAs])),
    siteByArm: new Map(arms.map((a) => [a.id, a.startsAt])),
    parted: new Set(),
    report,
  };
}

/** Does one step's effect to the world, and reports what does not fit. */
export function applyEffectMutable(world: World, step: Step, effect: Effect): void {
  switch (effect.kind) {
    case "item-moved":
      moveItem(world, step, effect);
      break;
    case "person-moved":
      movePerson(world, step, effect);
      break;
    case "tether-anchored":
    case "tether-released":
      workTether(world, step, effect);
      break;
    case "restraint-entered":
    case "restraint-left":
      workRestraint(world, step, effect);
      break;
    case "hardware-set":
      setHardware(world, step, effect);
      break;
    case "arm-moved":
      moveArm(world, step, effect);
  }
  checkTethers(world, step);
}

/** The sites that a position can touch; undefined for one who is at no site and so is bound to none. */
export function sitesInReach(world: World, position: string): ReadonlySet<string> | undefined {
  const at = world.siteByPosition.get(position);
  if (!at) {
    return undefined;
  }
  const reach = new Set([at]);
  for (const arm of world.procedure.arms) {
    const tipAt = world.siteByArm.get(arm.id) ?? "";
    if (at === arm.tip) {
      reach.add(tipAt);
    }
    if (at === tipAt) {
      reach.add(arm.tip);
    }
  }
  return reach;
}

/** What an item is in, from the nearest outward; the last is a site or a position. */
export function placesAround(world: World, first: Place | undefined): readonly Place[] {
  const chain: Place[] = [];
  for (let place = first; place && chain.length < 20;) {
    chain.push(place);
    place = "item" in place ? world.placeByItem.get(place.item) : undefined;
  }
  return chain;
}

/** Whether a position can lay a hand on what is at a place. */
export function canReach(world: World, position: string, place: Place | undefined): boolean {
  const root = placesAround(world, place).at(-1);
  const reach = sitesInReach(world, position);
  if (root === undefined || "item" in root) {
    return false;
  }
  if ("site" in root) {
    return reach === undefined || reach.has(root.site);
  }
  const holder = world.siteByPosition.get(root.position);
  return root.position === position || (reach !== undefined && reach.has(holder ?? ""));
}

/** Whether a condition holds now. */
export function isSo(world: World, condition: Condition): boolean {
  if ("hardware" in condition) {
    return world.stateByHardware.get(condition.hardware) === condition.state;
  }
  if ("item" in condition) {
    return samePlace(world.placeByItem.get(condition.item), condition.at);
  }
  if ("arm" in condition) {
    return world.siteByArm.get(condition.arm) === condition.at;
  }
  return world.restraintByPosition.get(condition.position) === condition.inRestraint;
}

/** Whether two places are the same. */
export function samePlace(a: Place | undefined, b: Place): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

/** The site of an id. */
export function siteOf(world: World, id: string | null | undefined): Site | undefined {
  return world.procedure.sites.find((site) => site.id === id);
}

type EffectOf<Kind extends Effect["kind"]> = Extract<Effect, { kind: Kind }>;

function moveItem(world: World, step: Step, effect: EffectOf<"item-moved">): void {
  const is = world.placeByItem.get(effect.item);
  if (!samePlace(is, effect.from)) {
    const says = `${effect.item} is at ${JSON.stringify(is)}, not at ${JSON.stringify(effect.from)}`;
    world.report("item-place", step, says);
  }
  for (const place of [effect.from, effect.to]) {
    if (!canReach(world, step.lane, place)) {
      world.report("item-reach", step, `${step.lane} can't reach ${JSON.stringify(place)}`);
    }
  }
  if (placesAround(world, effect.to).some((p) => "item" in p && p.item === effect.item)) {
    world.report("item-place", step, `${effect.item} would be inside itself`);
    return;
  }
  world.placeByItem.set(effect.item, effect.to);
}

function movePerson(world: World, step: Step, effect: EffectOf<"person-moved">): void {
  const { position, from, to, via } = effect;
  if (world.siteByPosition.get(position) !== from) {
    world.report("person-place", step, `${position} is not at ${from}`);
  }
  if (world.restraintByPosition.has(position)) {
    world.report("restraint", step, `${position} moves while standing in a restraint`);
  }
  for (const hardware of world.procedure.hardware) {
    if (world.parted.has(hardware.id) && hardware.site === from) {
      world.report("cap-missing", step, `${hardware.id} is left parted and without a cap`);
    }
  }
  if (via.length === 0 && !sitesInReach(world, position)?.has(to)) {
    world.report("path", step, `no path given, and no arm joins ${from} and ${to}`);
  }
  let at: string = from;
  for (const id of via) {
    const path = world.procedure.paths.find((p) => p.id === id);
    if (path === undefined || (path.from !== at && path.to !== at)) {
      world.report("path", step, `${id} does not begin at ${at}`);
      break;
    }
    if (path.closedWhile.length > 0 && path.closedWhile.some((c) => isSo(world, c))) {
      world.report("path", step, `${id} is closed`);
    }
    at = path.from === at ? path.to : path.from;
    passSite(world, step, position, at);
  }
  if (via.length > 0 && at !== to) {
    world.report("path", step, `the paths end at ${at}, not at ${to}`);
  }
  passSite(world, step, position, to);
  const there = [...world.siteByPosition.values()].filter((site) => site === to).length;
  if (there > (siteOf(world, to)?.capacity ?? 0)) {
    world.report("site-capacity", step, `${there} persons at ${to}`);
  }
}

function passSite(world: World, step: Step, position: string, site: string): void {
  world.siteByPosition.set(position, site);
  for (const tether of world.procedure.tethers.filter((t) => t.wornBy === position)) {
    const route = world.routeByTether.get(tether.id);
    if (route) {
      const before = route.indexOf(site);
      const next = before < 0 ? [...route, site] : route.slice(0, before + 1);
      world.routeByTether.set(tether.id, next);
    }
  }
  checkTethers(world, step);
}

function workTether(
  world: World,
  step: Step,
  effect: EffectOf<"tether-anchored" | "tether-released">,
): void {
  const tether = world.procedure.tethers.find((t) => t.id === effect.tether);
  const anchor = world.routeByTether.get(effect.tether)?.[0];
  if (!tether || !sitesInReach(world, tether.wornBy)?.has(effect.at)) {
    world.report("tether-anchor", step, `the wearer of ${effect.tether} is not at ${effect.at}`);
  }
  if (effect.kind === "tether-released") {
    if (anchor !== effect.at) {
      world.report("tether-anchor", step, `${effect.tether} is not anchored at ${effect.at}`);
    }
    world.routeByTether.delete(effect.tether);
    return;
  }
  if (anchor !== undefined) {
    world.report("tether-anchor", step, `${effect.tether} is still anchored at ${anchor}`);
  }
  if (!tether?.anchorSites.includes(effect.at)) {
    world.report("tether-anchor", step, `${effect.tether} may not be anchored at ${effect.at}`);
  }
  const at = tether && world.siteByPosition.get(tether.wornBy);
  world.routeByTether.set(effect.tether, at && at !== effect.at ? [effect.at, at] : [effect.at]);
}

function checkTethers(world: World, step: Step): void {
  for (const person of world.procedure.positions.filter((p) => p.sort === "suited")) {
    const worn = world.procedure.tethers.filter((t) => t.wornBy === person.id);
    const isOutside = siteOf(world, world.siteByPosition.get(person.id))?.sort !== "hatch";
    if (isOutside && !worn.some((t) => world.routeByTether.has(t.id))) {
      world.report("tether-none", step, `${person.id} is outside with no tether anchored`);
    }
    for (const tether of worn) {
      const route = world.routeByTether.get(tether.id) ?? [];
      const metres = routeMetres(world, route);
      if (metres > tether.lengthMetres) {
        const says = `${tether.id} is ${tether.lengthMetres} m, its route ${route.join(" ")} is ${metres} m`;
        world.report("tether-length", step, says);
      }
    }
  }
}

function routeMetres(world: World, route: readonly string[]): number {
  let metres = 0;
  for (let index = 1; index < route.length; index += 1) {
    const [a, b] = [route[index - 1], route[index]];
    const path = world.procedure.paths.find(
      (p) => (p.from === a && p.to === b) || (p.from === b && p.to === a),
    );
    const isOnTip = world.procedure.arms.some(
      (arm) =>
        (arm.tip === a && world.siteByArm.get(arm.id) === b) ||
        (arm.tip === b && world.siteByArm.get(arm.id) === a),
    );
    metres += isOnTip ? 0 : (path?.lengthMetres ?? Infinity);
  }
  return metres;
}

function workRestraint(
  world: World,
  step: Step,
  effect: EffectOf<"restraint-entered" | "restraint-left">,
): void {
  const { position, item } = effect;
  if (effect.kind === "restraint-left") {
    if (world.restraintByPosition.get(position) !== item) {
      world.report("restraint", step, `${position} is not in ${item}`);
    }
    world.restraintByPosition.delete(position);
    return;
  }
  const place = world.placeByItem.get(item);
  const site = place && "site" in place ? place.site : undefined;
  const sort = siteOf(world, site)?.sort;
  const isInstalled = sort === "worksite" || sort === "arm-tip";
  if (!isInstalled || world.siteByPosition.get(position) !== site) {
    world.report("restraint", step, `${item} is not installed where ${position} is`);
  }
  if (world.restraintByPosition.has(position)) {
    world.report("restraint", step, `${position} is in another restraint already`);
  }
  if ([...world.restraintByPosition.values()].includes(item)) {
    world.report("restraint", step, `somebody else is in ${item}`);
  }
  world.restraintByPosition.set(position, item);
}

function setHardware(world: World, step: Step, effect: EffectOf<"hardware-set">): void {
  const hardware = world.procedure.hardware.find((h) => h.id === effect.hardware);
  if (!hardware?.states.includes(effect.state)) {
    world.report("requirement", step, `${effect.hardware} has no state ${effect.state}`);
  }
  if (hardware?.site && !sitesInReach(world, step.lane)?.has(hardware.site)) {
    world.report("person-place", step, `${step.lane} can't reach ${effect.hardware}`);
  }
  world.stateByHardware.set(effect.hardware, effect.state);
  if (effect.state === "parted") {
    world.parted.add(effect.hardware);
    return;
  }
  world.parted.delete(effect.hardware);
  const isCapped = step.effects.some(
    (e) =>
      e.kind === "item-moved" &&
      world.procedure.items.find((i) => i.id === e.item)?.sort === "cap" &&
      "site" in e.to &&
      e.to.site === hardware?.site,
  );
  if (effect.state === "capped" && !isCapped) {
    world.report("cap-missing", step, `no cap is put on ${effect.hardware}`);
  }
}

function moveArm(world: World, step: Step, effect: EffectOf<"arm-moved">): void {
  const arm = world.procedure.arms.find((a) => a.id === effect.arm);
  if (world.siteByArm.get(effect.arm) !== effect.from || !arm?.reaches.includes(effect.to)) {
    world.report("arm-place", step, `${effect.arm} can't go from ${effect.from} to ${effect.to}`);
  }
  for (const person of world.procedure.positions) {
    if (!arm || world.siteByPosition.get(person.id) !== arm.tip) {
      continue;
    }
    const restraint = world.placeByItem.get(world.restraintByPosition.get(person.id) ?? "");
    if (!restraint || !samePlace(restraint, { site: arm.tip })) {
      world.report("arm-rider", step, `${person.id} rides ${arm.id} in no restraint`);
    }
    for (const tether of world.procedure.tethers.filter((t) => t.wornBy === person.id)) {
      const anchor = world.routeByTether.get(tether.id)?.[0];
      if (anchor !== undefined && anchor !== arm.tip) {
        world.report("arm-rider", step, `${tether.id} still holds the rider at ${anchor}`);
      }
    }
  }
  world.siteByArm.set(effect.arm, effect.to);
}
