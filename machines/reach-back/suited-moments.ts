// Every state in which the plan puts a suited person, step by step.
//
// [suited-moments 1] A step has the state that it begins in and each that its effects bring, in order.

import { groupBy } from "../base/group-by.ts";
import type { ItemId, PathId, PositionId, SiteId, StepId } from "../procedure/ids.ts";
import type { Condition } from "../procedure/condition.ts";
import type { Place } from "../procedure/place.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Effect, Step } from "../procedure/step.ts";
import type { PlanOrder } from "../plan/happens-before.ts";
import type { Hooking, Spot } from "./return-graph.ts";

/** One state of a person in the course of a step. */
export type SuitedMoment = {
  readonly step: StepId;
  readonly position: PositionId;
  readonly spot: Spot;
  readonly hooking: Hooking;
  readonly isInRestraint: boolean;
  /** Paths that are closed then. */
  readonly closedPaths: readonly PathId[];
  /** Items within reach that the plan has put down there and that may not stay. */
  readonly toGather: readonly ItemId[];
};

/** The moments of every suited lane, in the order of the plan. Errors: none. */
export function listSuitedMoments(
  index: ProcedureIndex,
  order: PlanOrder,
): readonly SuitedMoment[] {
  const world = startWorld(index);
  const moments: SuitedMoment[] = [];
  for (const step of order.steps) {
    const isSuited = index.positionsById.get(step.lane)?.sort === "suited";
    if (isSuited) moments.push(momentOf(index, world, step));
    for (const part of step.effects.flatMap((effect) => partsOf(index, effect))) {
      apply(world, part);
      if (isSuited) moments.push(momentOf(index, world, step));
    }
  }
  return moments.filter(({ spot }) => spot.site !== ("" as SiteId));
}

type World = {
  readonly sites: Map<PositionId, SiteId | null>;
  readonly restraints: Map<PositionId, ItemId>;
  readonly anchors: Map<string, SiteId | null>;
  readonly places: Map<ItemId, Place>;
  readonly hardware: Map<string, string>;
  readonly arms: Map<string, SiteId>;
};

function startWorld({ procedure }: ProcedureIndex): World {
  return {
    sites: new Map(procedure.positions.map(({ id, startsAt }) => [id, startsAt])),
    restraints: new Map(),
    anchors: new Map(procedure.tethers.map(({ id, startsAnchoredAt }) => [id, startsAnchoredAt])),
    places: new Map(procedure.items.map(({ id, startsAt }) => [id, startsAt])),
    hardware: new Map(procedure.hardware.map(({ id, startsAs }) => [id, startsAs])),
    arms: new Map(procedure.arms.map(({ id, startsAt }) => [id, startsAt])),
  };
}

// A way over several sites is as many moves, for one may have to turn back at each.
function partsOf({ pathsById }: ProcedureIndex, effect: Effect): readonly Effect[] {
  if (effect.kind !== "person-moved" || effect.via.length < 2) return [effect];
  let at = effect.from;
  return effect.via.map((id) => {
    const path = pathsById.get(id);
    const from = at;
    if (path !== undefined) at = path.from === at ? path.to : path.from;
    return { ...effect, from, to: at, via: [id] };
  });
}

function apply(world: World, effect: Effect): void {
  switch (effect.kind) {
    case "person-moved":
      world.sites.set(effect.position, effect.to);
      return;
    case "tether-anchored":
      world.anchors.set(effect.tether, effect.at);
      return;
    case "tether-released":
      world.anchors.set(effect.tether, null);
      return;
    case "restraint-entered":
      world.restraints.set(effect.position, effect.item);
      return;
    case "restraint-left":
      world.restraints.delete(effect.position);
      return;
    case "item-moved":
      world.places.set(effect.item, effect.to);
      return;
    case "hardware-set":
      world.hardware.set(effect.hardware, effect.state);
      return;
    case "arm-moved":
      world.arms.set(effect.arm, effect.to);
  }
}

function momentOf(index: ProcedureIndex, world: World, step: Step): SuitedMoment {
  const { procedure } = index;
  const site = world.sites.get(step.lane) ?? ("" as SiteId);
  const arm = procedure.arms.find(({ tip }) => tip === site);
  const worn = tethersByWearer(index).get(step.lane) ?? [];
  return {
    step: step.id,
    position: step.lane,
    spot: { site, armAt: arm === undefined ? null : (world.arms.get(arm.id) ?? null) },
    hooking: worn.map(({ id }) => world.anchors.get(id) ?? null),
    isInRestraint: world.restraints.has(step.lane),
    closedPaths: procedure.paths
      .filter(({ closedWhile }) => closedWhile.some((condition) => isSo(world, condition)))
      .map(({ id }) => id),
    toGather: procedure.items
      .filter((item) => {
        const place = world.places.get(item.id);
        if (place === undefined || !("site" in place) || place.site !== site) return false;
        const isKnown = [item.startsAt, ...item.mustEndAt].some((other) => isSame(other, place));
        return !isKnown;
      })
      .map(({ id }) => id),
  };
}

function tethersByWearer({ procedure }: ProcedureIndex) {
  return groupBy(procedure.tethers, ({ wornBy }) => wornBy);
}

function isSo(world: World, condition: Condition): boolean {
  if ("hardware" in condition) return world.hardware.get(condition.hardware) === condition.state;
  if ("arm" in condition) return world.arms.get(condition.arm) === condition.at;
  if ("item" in condition) return isSame(world.places.get(condition.item), condition.at);
  return world.restraints.get(condition.position) === condition.inRestraint;
}

function isSame(a: Place | undefined, b: Place): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}
