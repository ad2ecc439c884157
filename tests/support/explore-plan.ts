// Every interleaving of a small plan, one after the other: slow and obvious, to hold the plan check
// against. It shares no code with `machines/plan`; the world is that of the walk (`walk-world.ts`).
//
// A step starts when the steps it waits for are done, and has its effects when it is done. What it relies
// on is looked at when it starts, when it is done, and whenever another step is done meanwhile. A branch
// ends at the first thing that is wrong in it.

import type { Place } from "../../machines/procedure/place.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Step } from "../../machines/procedure/step.ts";
import {
  applyEffectMutable,
  canReach,
  createWorld,
  isSo,
  placesAround,
  samePlace,
  siteOf,
  sitesInReach,
  type World,
} from "./walk-world.ts";

/** Something wrong in some interleaving. `step` null: at the end, or nobody can go on. */
export type Violation = {
  readonly rule: string;
  readonly step: string | null;
  readonly other: string | null;
  readonly says: string;
};

/** What all interleavings come to. */
export type Exploration = {
  readonly violations: readonly Violation[];
  /** Distinct states seen; `isWhole` false: there were too many, and nothing is proven. */
  readonly states: number;
  readonly isWhole: boolean;
};

/** Explores every interleaving of a plan whose contingencies are out of play. */
export function explorePlan(procedure: Procedure, statesMax = 20_000): Exploration {
  const steps = stepsInPlay(procedure);
  const violations = new Map<string, Violation>();
  const seen = new Set<string>();
  const note = (found: readonly Violation[]) => {
    for (const v of found) violations.set(`${v.rule} ${v.step} ${v.other}`, v);
    return found.length > 0;
  };
  const visit = (done: readonly string[], running: readonly string[], world: World): void => {
    const key = JSON.stringify([[...done].sort(), [...running].sort(), snapshot(world)]);
    if (seen.has(key) || seen.size > statesMax) return;
    seen.add(key);
    const ready = steps.filter(
      (s) =>
        !done.includes(s.id) &&
        !running.includes(s.id) &&
        waitsFor(steps, s).every((id) => done.includes(id)),
    );
    if (ready.length === 0 && running.length === 0) {
      note(done.length === steps.length ? wrongAtEnd(world) : [stuck(steps, done)]);
    }
    for (const step of ready) {
      const mates = running.map((id) => stepOf(steps, id));
      const isWrong = note([
        ...wrongWithNeeds(world, step, null),
        ...mates.flatMap((mate) => wrongTogether(world, step, mate)),
      ]);
      if (!isWrong) visit(done, [...running, step.id], world);
    }
    for (const id of running) {
      const step = stepOf(steps, id);
      const still = running.filter((other) => other !== id);
      const next = copyWorld(world);
      const isWrong = note([
        ...perform(next, step),
        ...still.flatMap((other) => wrongWithNeeds(next, stepOf(steps, other), id)),
      ]);
      if (!isWrong) visit([...done, id], still, next.world);
    }
  };
  const world = createWorld(procedure, () => {});
  if (!note(wrongAtStart(world))) visit([], [], world);
  return {
    violations: [...violations.values()],
    states: seen.size,
    isWhole: seen.size <= statesMax,
  };
}

/** What one given order of ends comes to, up to the first thing that is wrong. */
export function replayOrder(
  procedure: Procedure,
  order: readonly string[],
): { readonly violations: readonly Violation[]; readonly world: World } {
  const steps = stepsInPlay(procedure);
  let world = createWorld(procedure, () => {});
  for (const id of order) {
    const step = stepOf(steps, id);
    const next = copyWorld(world);
    const found = [...wrongWithNeeds(world, step, null), ...perform(next, step)];
    if (found.length > 0) return { violations: found, world };
    world = next.world;
  }
  return { violations: [], world };
}

/** Whether every step of an order comes after all that it waits for. */
export function isInterleaving(procedure: Procedure, order: readonly string[]): boolean {
  const steps = stepsInPlay(procedure);
  return (
    new Set(order).size === order.length &&
    order.every((id, place) =>
      waitsFor(steps, stepOf(steps, id)).every((before) => order.slice(0, place).includes(before)),
    )
  );
}

/** What is wrong at the end of a run in this world. */
export function wrongAtEnd(world: World): readonly Violation[] {
  const items = world.procedure.items.filter(
    (item) => !item.mustEndAt.some((end) => samePlace(world.placeByItem.get(item.id), end)),
  );
  const persons = world.procedure.positions.filter(
    (p) => p.sort === "suited" && siteOf(world, world.siteByPosition.get(p.id))?.sort !== "hatch",
  );
  return [...items, ...persons].map(({ id }) => ({
    rule: "end-place",
    step: null,
    other: id,
    says: `${id} is not where it must be`,
  }));
}

function stepsInPlay(procedure: Procedure): readonly Step[] {
  return procedure.steps.filter((s) => !procedure.tasks.find((t) => t.id === s.task)?.contingency);
}

function stepOf(steps: readonly Step[], id: string): Step {
  return steps.find((s) => s.id === id) as Step;
}

function waitsFor(steps: readonly Step[], step: Step): readonly string[] {
  const together = step.meet === null ? [step] : steps.filter((s) => s.meet === step.meet);
  return together.flatMap((mate) => {
    const lane = steps.filter((s) => s.lane === mate.lane);
    const previous = lane[lane.indexOf(mate) - 1];
    const afters = mate.after.filter((id) => steps.some((s) => s.id === id));
    return previous ? [previous.id, ...afters] : afters;
  });
}

function stuck(steps: readonly Step[], done: readonly string[]): Violation {
  const waiting = steps.filter((s) => !done.includes(s.id)).map((s) => s.id);
  return { rule: "deadlock", step: null, other: null, says: `stuck: ${waiting.join(" ")}` };
}

function wrongAtStart(world: World): readonly Violation[] {
  return world.procedure.sites.flatMap((site) => {
    const there = [...world.siteByPosition.values()].filter((at) => at === site.id).length;
    if (there <= site.capacity) return [];
    return [{ rule: "site-capacity", step: null, other: site.id, says: "crowded at the start" }];
  });
}

function wrongWithNeeds(world: World, step: Step, other: string | null): readonly Violation[] {
  const found: Violation[] = [];
  const wrong = (rule: string, says: string) => found.push({ rule, step: step.id, other, says });
  const reach = sitesInReach(world, step.lane);
  const moves = step.effects.some((e) => e.kind === "person-moved" && e.position === step.lane);
  if (!moves && step.site !== null && reach !== undefined && !reach.has(step.site)) {
    wrong("person-place", `${step.lane} is not at ${step.site}`);
  }
  const tool = step.fasteners && world.placeByItem.get(step.fasteners.tool);
  if (tool && !canReach(world, step.lane, tool)) wrong("requirement", "the tool is not at hand");
  for (const condition of step.requires) {
    if (!isSo(world, condition)) wrong("requirement", JSON.stringify(condition));
  }
  return found;
}

// Both are under way at once: two things that do not go together, whichever is done first.
function wrongTogether(world: World, a: Step, b: Step): readonly Violation[] {
  const found: Violation[] = [];
  const wrong = (rule: string, says: string) => found.push({ rule, step: a.id, other: b.id, says });
  for (const [user, changer] of [
    [a, b],
    [b, a],
  ] as const) {
    const changes = changesOf(changer);
    for (const thing of usesOf(world, user)) {
      if (changes.has(thing)) wrong("touch", `${changer.id} changes ${thing} under ${user.id}`);
    }
    if (partnersOf(user).includes(changer.lane) && !["wait", "talk"].includes(changer.sort)) {
      const areMates = user.meet !== null && user.meet === changer.meet;
      const isSuited =
        world.procedure.positions.find((p) => p.id === changer.lane)?.sort === "suited";
      if (!areMates && isSuited) wrong("hands", `${changer.lane}'s hands are at ${changer.id}`);
    }
  }
  if (a.fasteners && a.fasteners.tool === b.fasteners?.tool) wrong("tool", a.fasteners.tool);
  for (const x of a.effects) {
    for (const y of b.effects) {
      if (x.kind !== "hardware-set" || y.kind !== "hardware-set") continue;
      const isLast = (s: Step, e: typeof x) =>
        s.effects.findLast((o) => o.kind === "hardware-set" && o.hardware === e.hardware) === e;
      if (x.hardware !== y.hardware || !isLast(a, x) || !isLast(b, y)) continue;
      if (x.state !== y.state) wrong("touch", `both set ${x.hardware}`);
    }
  }
  return found;
}

function partnersOf(step: Step): readonly string[] {
  return step.effects.flatMap((e) =>
    e.kind === "item-moved"
      ? [e.from, e.to].flatMap((p) =>
          "position" in p && p.position !== step.lane ? [p.position] : [],
        )
      : [],
  );
}

/** Things whose change would pull the ground from under a step, whatever they change to. */
function usesOf(world: World, step: Step): ReadonlySet<string> {
  const uses = new Set<string>();
  const { lane } = step;
  const arms = (a: string, b: string) => {
    for (const arm of world.procedure.arms) {
      const joins = (tip: string, site: string) =>
        arm.tip === tip && arm.reaches.some((r) => r === site);
      if (joins(a, b) || joins(b, a)) uses.add(`arm:${arm.id}`);
    }
  };
  const touch = (target: string | null | undefined) => {
    uses.add(`person:${lane}`);
    const at = siteNow.get(lane);
    if (at && target && at !== target) arms(at, target);
  };
  const hand = (place: Place | undefined) => {
    const around = placesAround({ ...world, placeByItem: placeNow }, place);
    for (const p of around) if ("item" in p) uses.add(`item:${p.item}`);
    const root = around.at(-1);
    if (root && "site" in root) touch(root.site);
    if (root && "position" in root && root.position !== lane) {
      uses.add(`person:${root.position}`);
      touch(siteNow.get(root.position));
    }
  };
  const siteNow = new Map(world.siteByPosition);
  const placeNow = new Map(world.placeByItem);
  const start = siteNow.get(lane);
  if (start && step.sort !== "ride-arm") {
    for (const arm of world.procedure.arms) if (arm.tip === start) uses.add(`arm:${arm.id}`);
  }
  const moves = step.effects.some((e) => e.kind === "person-moved" && e.position === lane);
  if (!moves && step.site !== null && start && start !== step.site) touch(step.site);
  if (step.fasteners) {
    uses.add(`item:${step.fasteners.tool}`);
    hand(placeNow.get(step.fasteners.tool));
  }
  for (const e of step.effects) {
    if (e.kind === "item-moved") {
      hand(e.from);
      hand(e.to);
      placeNow.set(e.item, e.to);
    } else if (e.kind === "person-moved") {
      siteNow.set(e.position, e.to);
      useTethers(world, e.position, uses);
    } else if (e.kind === "tether-anchored" || e.kind === "tether-released") {
      const wearer = world.procedure.tethers.find((t) => t.id === e.tether)?.wornBy ?? "";
      uses.add(`person:${wearer}`);
      const at = siteNow.get(wearer);
      if (at && at !== e.at) arms(at, e.at);
      useTethers(world, wearer, uses);
    } else if (e.kind === "hardware-set") {
      const site = world.procedure.hardware.find((h) => h.id === e.hardware)?.site;
      if (site) touch(site);
    } else if (e.kind === "restraint-entered") {
      uses.add(`person:${e.position}`);
    } else if (e.kind === "arm-moved") {
      const arm = world.procedure.arms.find((a) => a.id === e.arm);
      const riders = [...siteNow].filter(([, site]) => site === arm?.tip);
      for (const [position] of riders) {
        uses.add(`person:${position}`).add(`restraint:${position}`);
        useTethers(world, position, uses);
      }
    }
  }
  return uses;
}

function useTethers(world: World, position: string, uses: Set<string>): void {
  const person = world.procedure.positions.find((p) => p.id === position);
  if (person?.sort !== "suited") return;
  uses.add(`person:${position}`);
  for (const t of world.procedure.tethers) if (t.wornBy === position) uses.add(`tether:${t.id}`);
}

function changesOf(step: Step): ReadonlySet<string> {
  return new Set(
    step.effects.map((e) => {
      switch (e.kind) {
        case "item-moved":
          return `item:${e.item}`;
        case "person-moved":
          return `person:${e.position}`;
        case "tether-anchored":
        case "tether-released":
          return `tether:${e.tether}`;
        case "restraint-entered":
        case "restraint-left":
          return `restraint:${e.position}`;
        case "hardware-set":
          return `hardware:${e.hardware}`;
        case "arm-moved":
          return `arm:${e.arm}`;
      }
    }),
  );
}

type Copy = { readonly world: World; readonly found: Violation[] } & World;

function copyWorld(world: World): Copy {
  const found: Violation[] = [];
  const copy: World = {
    procedure: world.procedure,
    siteByPosition: new Map(world.siteByPosition),
    restraintByPosition: new Map(world.restraintByPosition),
    placeByItem: new Map(world.placeByItem),
    routeByTether: new Map(world.routeByTether),
    stateByHardware: new Map(world.stateByHardware),
    siteByArm: new Map(world.siteByArm),
    parted: new Set(world.parted),
    report: (rule, step, says) => {
      found.push({ rule, step: step?.id ?? null, other: null, says });
    },
  };
  return { ...copy, world: copy, found };
}

function perform(copy: Copy, step: Step): readonly Violation[] {
  const found = [...wrongWithNeeds(copy, step, null)];
  for (const effect of step.effects) {
    if (effect.kind === "item-moved") {
      const standing = [...copy.restraintByPosition.values()];
      if (standing.some((item) => item === effect.item)) {
        found.push({ rule: "restraint", step: step.id, other: null, says: "somebody is in it" });
      }
    }
    if (effect.kind === "person-moved" && effect.via.length === 0 && effect.from === effect.to) {
      continue;
    }
    applyEffectMutable(copy.world, step, effect);
  }
  return [...found, ...copy.found];
}

function snapshot(world: World): unknown {
  return [
    world.siteByPosition,
    world.restraintByPosition,
    world.placeByItem,
    world.routeByTether,
    world.stateByHardware,
    world.siteByArm,
  ].map((map) => [...map].sort(([a], [b]) => (a < b ? -1 : 1)));
}
