// What steps have changed: where items and persons are, tethers, restraints, hardware, the arm.
//
// [apply-effects 1] Effects are applied as what happened, whatever state they find.
// [apply-effects 2] The world is a pure function of the procedure and the steps done, in order.

import type { ArmId, HardwareId, ItemId, PositionId, SiteId, TetherId } from "../procedure/ids.ts";
import type { Condition } from "../procedure/condition.ts";
import type { Place } from "../procedure/place.ts";
import type { Procedure } from "../procedure/procedure.ts";
import type { Effect, Step } from "../procedure/step.ts";
import type { PersonInRun } from "./run-state.ts";

/** Where everything is, in the middle of a fold. */
export type WorldInFold = {
  readonly items: Map<ItemId, Place>;
  readonly persons: Map<PositionId, PersonInRun>;
  readonly tethers: Map<TetherId, readonly SiteId[]>;
  readonly hardware: Map<HardwareId, string>;
  readonly arms: Map<ArmId, SiteId>;
};

/** Where everything is at the start of a run. */
export function startingWorld(procedure: Procedure): WorldInFold {
  const { positions, items, tethers, hardware, arms } = procedure;
  return {
    items: new Map(items.map(({ id, startsAt }) => [id, startsAt])),
    persons: new Map(
      positions.map(({ id, startsAt }) => [id, { site: startsAt, restraint: null }]),
    ),
    tethers: new Map(tethers.map(({ id, startsAnchoredAt: at }) => [id, at === null ? [] : [at]])),
    hardware: new Map(hardware.map(({ id, startsAs }) => [id, startsAs])),
    arms: new Map(arms.map(({ id, startsAt }) => [id, startsAt])),
  };
}

/** A copy, so that what becomes of the one is nothing to the other. */
export function copyWorld({ items, persons, tethers, hardware, arms }: WorldInFold): WorldInFold {
  return {
    items: new Map(items),
    persons: new Map(persons),
    tethers: new Map(tethers),
    hardware: new Map(hardware),
    arms: new Map(arms),
  };
}

/** Applies what a step does, in the order of its effects. */
export function applyEffects(worldMutable: WorldInFold, step: Step): void {
  for (const effect of step.effects) applyEffect(worldMutable, effect);
}

/** Whether something is so. */
export function isSo(world: WorldInFold, condition: Condition): boolean {
  if ("hardware" in condition) return world.hardware.get(condition.hardware) === condition.state;
  if ("item" in condition) return isSamePlace(world.items.get(condition.item), condition.at);
  if ("arm" in condition) return world.arms.get(condition.arm) === condition.at;
  return world.persons.get(condition.position)?.restraint === condition.inRestraint;
}

/** Whether both are the same place; an unknown one is no place. */
export function isSamePlace(a: Place | undefined, b: Place): boolean {
  if (a === undefined) return false;
  if ("site" in a) return "site" in b && a.site === b.site;
  if ("item" in a) return "item" in b && a.item === b.item;
  return "position" in b && a.position === b.position;
}

function applyEffect(world: WorldInFold, effect: Effect): void {
  switch (effect.kind) {
    case "item-moved":
      world.items.set(effect.item, effect.to);
      return;
    case "person-moved":
      world.persons.set(effect.position, {
        site: effect.to,
        restraint: world.persons.get(effect.position)?.restraint ?? null,
      });
      return;
    case "tether-anchored":
    case "tether-released":
      applyTether(world, effect);
      return;
    case "restraint-entered":
      setRestraint(world, effect.position, effect.item);
      return;
    case "restraint-left":
      setRestraint(world, effect.position, null);
      return;
    case "hardware-set":
      world.hardware.set(effect.hardware, effect.state);
      return;
    case "arm-moved":
      world.arms.set(effect.arm, effect.to);
  }
}

function applyTether(
  world: WorldInFold,
  effect: Extract<Effect, { readonly kind: `tether-${string}` }>,
): void {
  const others = (world.tethers.get(effect.tether) ?? []).filter((site) => site !== effect.at);
  const anchored = effect.kind === "tether-anchored" ? [...others, effect.at] : others;
  world.tethers.set(effect.tether, anchored);
}

function setRestraint(world: WorldInFold, position: PositionId, restraint: ItemId | null): void {
  const site = world.persons.get(position)?.site ?? null;
  world.persons.set(position, { site, restraint });
}
