// What steps do to the world: applied whatever they find, and the same by whatever way.

import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import type { ItemId, PositionId, SiteId, StepId } from "../../../../machines/procedure/ids.ts";
import type { Effect } from "../../../../machines/procedure/step.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { applyEffects, startingWorld } from "../../../../machines/record/apply-effects.ts";
import type { EntryBody } from "../../../../machines/record/entry.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { aFullProcedure } from "../../../support/a-full-procedure.ts";
import { aStep } from "../../../support/procedure-parts.ts";
import { aRecord } from "../../../support/a-record.ts";
import type { RecordInWriting } from "../../../support/a-record.ts";

const procedure = aFullProcedure();
const index = indexProcedure(procedure);
const bracket = "bracket" as ItemId;
const ev1 = "ev1" as PositionId;
const [rack, shelf, post] = ["rack", "shelf", "post"] as SiteId[] as [SiteId, SiteId, SiteId];
const [arm] = procedure.arms as [(typeof procedure.arms)[number]];
const [tether] = procedure.tethers as [(typeof procedure.tethers)[number]];
const restraint = "restraint" as ItemId;

function worldAfter(...effects: Effect[]) {
  const world = startingWorld(procedure);
  applyEffects(world, aStep("a-step", { effects }));
  return world;
}

test("[apply-effects 1] what is not where an effect takes it from still comes to where it takes it", () => {
  const away = { site: shelf };
  expect(startingWorld(procedure).items.get(bracket)).not.toEqual(away);
  const moved = worldAfter({ kind: "item-moved", item: bracket, from: away, to: { site: post } });
  expect(moved.items.get(bracket)).toEqual({ site: post });
  const person = worldAfter({
    kind: "person-moved",
    position: ev1,
    from: shelf,
    to: post,
    via: [],
  });
  expect(person.persons.get(ev1)).toEqual({ site: post, restraint: null });
  const swung = worldAfter({ kind: "arm-moved", arm: arm.id, from: post, to: shelf });
  expect(swung.arms.get(arm.id)).toBe(shelf);
});

test("[apply-effects 1] an anchor that is there, or gone, already stays so; and a restraint", () => {
  const at = tether.startsAnchoredAt as SiteId;
  const anchored = { kind: "tether-anchored", tether: tether.id } as const;
  const released = { kind: "tether-released", tether: tether.id } as const;
  const sitesAfter = (...effects: Effect[]) => worldAfter(...effects).tethers.get(tether.id);
  expect(sitesAfter({ ...anchored, at })).toEqual([at]);
  expect(sitesAfter({ ...released, at: post })).toEqual([at]);
  expect(sitesAfter({ ...released, at }, { ...released, at })).toEqual([]);
  const left: Effect = { kind: "restraint-left", position: ev1, item: restraint };
  const entered: Effect = { kind: "restraint-entered", position: ev1, item: restraint };
  expect(worldAfter(left).persons.get(ev1)?.restraint).toBeNull();
  expect(worldAfter(entered, entered).persons.get(ev1)?.restraint).toBe(restraint);
});

test("[apply-effects 2] two worlds begun of one procedure share nothing that an effect changes", () => {
  const before = canonicalJson(procedure);
  const untouched = plainWorld(startingWorld(procedure));
  const first = startingWorld(procedure);
  const second = startingWorld(procedure);
  const [everything] = procedure.steps.filter(({ id }) => id === "everything");
  if (everything === undefined) throw new Error("the full procedure has a step of every effect");
  applyEffects(first, everything);
  expect(plainWorld(first)).not.toBe(untouched);
  expect(plainWorld(second)).toBe(untouched);
  expect(canonicalJson(procedure)).toBe(before);
});

const done = (step: string): EntryBody => ({ kind: "step.done", step: step as StepId });

function worldOf(record: RecordInWriting): string {
  const state = foldRun(index, orderEntries(record.entries).ordered);
  const { items, persons, tethers, hardware, arms } = state;
  return canonicalJson({ items, persons, tethers, hardware, arms });
}

function worldOfSteps(...steps: string[]): string {
  const world = startingWorld(procedure);
  for (const id of steps) {
    const step = index.stepsById.get(id as StepId);
    if (step === undefined) throw new Error(`the full procedure has a step ${id}`);
    applyEffects(world, step);
  }
  return plainWorld(world);
}

function plainWorld(world: ReturnType<typeof startingWorld>): string {
  const parts = Object.entries(world).map(([name, part]) => [name, Object.fromEntries(part)]);
  return canonicalJson(Object.fromEntries(parts));
}

test("[apply-effects 2] mis-taps, repeats and other hands on the way leave the same world", () => {
  const straight = aRecord();
  for (const step of ["ev1-to-rack", "ev1-swap-tether", "ev1-home"])
    straight.tap("desk", done(step));
  const crooked = aRecord();
  crooked.tap("tablet-1", done("ev1-to-rack"));
  const misTap = crooked.tap("desk", done("ev1-torque"));
  crooked.tap("reader", done("ev1-to-rack"));
  crooked.tap("tablet-1", { kind: "step.started", step: "ev1-swap-tether" as StepId });
  crooked.tap("tablet-1", done("ev1-swap-tether"));
  crooked.tap("desk", { kind: "item.sighted", item: bracket, at: { site: rack } });
  crooked.tap("reader", done("ev1-home"));
  expect(worldOf(crooked)).not.toBe(worldOf(straight));
  crooked.tap("desk", { kind: "entry.withdrawn", withdrawn: misTap, reason: "mis-tap" });
  expect(worldOf(crooked)).toBe(worldOf(straight));
  expect(worldOf(straight)).toBe(worldOfSteps("ev1-to-rack", "ev1-swap-tether", "ev1-home"));
});

test("[apply-effects 2] steps done in another order leave the world of that order", () => {
  const record = aRecord();
  record.tap("desk", done("ev1-home"));
  record.tap("desk", done("ev1-to-rack"));
  expect(worldOf(record)).toBe(worldOfSteps("ev1-home", "ev1-to-rack"));
  expect(worldOf(record)).not.toBe(worldOfSteps("ev1-to-rack", "ev1-home"));
});
