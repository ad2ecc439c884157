// A small random plan from a seed: two suited lanes, the reader and an arm operator, a few steps each.
//
// It is told as a story first, in which each next step mostly fits what has happened; then the story is
// cut into lanes, and only some of its order is written down. So some plans are sound, some have lost an
// order that mattered, some have a step that never fits, and some wait in a circle.

import { createSeededRandom, type SeededRandom } from "../../machines/base/seeded-random.ts";
import type { Condition } from "../../machines/procedure/condition.ts";
import type { Place } from "../../machines/procedure/place.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Effect, Step, StepSort } from "../../machines/procedure/step.ts";
import { aProcedure } from "./a-procedure.ts";
import { aDuration, aPath, aPosition, aSite, aStep, aTask, anItem } from "./procedure-parts.ts";
import { applyEffectMutable, canReach, createWorld, isSo, sitesInReach } from "./walk-world.ts";
import type { World } from "./walk-world.ts";

const id = <Id extends string>(text: string) => text as Id;

/** A plan of at most so many steps. */
export function aRandomPlan(seed: number, stepsMax: number): Procedure {
  const random = createSeededRandom(seed);
  const ground = groundOf(random);
  const told = tellStory(random, ground, 2 + random.nextBelow(stepsMax - 1));
  const steps = writeOrder(random, told);
  const lanes = ground.positions.map((position) => position.id);
  const listed = lanes.flatMap((lane) => steps.filter((step) => step.lane === lane));
  const met = new Set(listed.flatMap((step) => step.meet ?? []));
  return {
    ...ground,
    steps: listed,
    meets: [...met].map((meet) => ({ id: meet, name: `Meet ${meet}` })),
    items: ground.items.map((item) =>
      random.nextBelow(4) === 0 ? item : { ...item, mustEndAt: everyPlace(ground) },
    ),
  };
}

function chance(random: SeededRandom, share: number): boolean {
  return random.nextFraction() < share;
}

function pick<Any>(random: SeededRandom, from: readonly Any[]): Any {
  return from[random.nextBelow(from.length)] as Any;
}

function groundOf(random: SeededRandom): Procedure {
  const at = (site: string): Place => ({ site: id(site) });
  const worn = (name: string, wornBy: string, lengthMetres: number, anchored: boolean) => ({
    id: id<never>(name),
    name,
    wornBy: id<never>(wornBy),
    lengthMetres,
    anchorSites: ["hatch", "rack", "shelf", "tip"].map((site) => id<never>(site)),
    startsAnchoredAt: anchored ? id<never>("hatch") : null,
  });
  const short = pick(random, [5, 8]);
  return aProcedure({
    positions: [
      aPosition("ev1", { startsAt: id("hatch") }),
      aPosition("ev2", { startsAt: id("hatch") }),
      aPosition("iv", { sort: "inside" }),
      aPosition("arm-op", { sort: "arm" }),
    ],
    sites: [
      aSite("hatch", { sort: "hatch" }),
      aSite("rack", { capacity: pick(random, [1, 2, 2]) }),
      aSite("shelf", { capacity: pick(random, [1, 2, 2]) }),
      aSite("tip", { sort: "arm-tip", capacity: 1 }),
    ],
    paths: [
      aPath("hatch-rack", "hatch", "rack", 4),
      {
        ...aPath("rack-shelf", "rack", "shelf", 2),
        closedWhile: chance(random, 0.2) ? [{ hardware: id("power"), state: "on" }] : [],
      },
      aPath("hatch-shelf", "hatch", "shelf", 6),
    ],
    items: [
      anItem("bag", "bag", { position: id("ev1") }),
      anItem("driver", "tool", { item: id("bag") }),
      anItem("box", "part", at("rack")),
      anItem("stand", "foot-restraint", at("rack")),
    ],
    tethers: [
      worn("ev1-long", "ev1", 20, true),
      worn("ev1-short", "ev1", short, false),
      worn("ev2-long", "ev2", 20, true),
      worn("ev2-short", "ev2", short, false),
    ],
    arms: [
      {
        id: id("arm"),
        name: "Arm",
        tip: id("tip"),
        reaches: [id("rack"), id("shelf")],
        startsAt: id("rack"),
      },
    ],
    hardware: [
      { id: id("power"), name: "Power", site: null, states: ["on", "off"], startsAs: "on" },
      { id: id("lid"), name: "Lid", site: id("rack"), states: ["shut", "open"], startsAs: "shut" },
    ],
    tasks: [aTask("bracket")],
    clocks: [],
    windows: [],
    recurringChecks: [],
    briefing: [],
    steps: [],
    meets: [],
  });
}

function everyPlace(ground: Procedure): readonly Place[] {
  return [
    ...ground.sites.map(({ id: site }) => ({ site })),
    ...ground.positions.map(({ id: position }) => ({ position })),
    ...ground.items.map(({ id: item }) => ({ item })),
  ];
}

function tellStory(random: SeededRandom, ground: Procedure, count: number): readonly Step[] {
  let wrong = 0;
  let world = createWorld(ground, () => {
    wrong += 1;
  });
  const told: Step[] = [];
  for (let turn = 0; told.length < count && turn < count * 60; turn += 1) {
    const step = drawStep(random, world, told.length);
    const next = copy(world);
    wrong = 0;
    for (const effect of step.effects) applyEffectMutable(next, step, effect);
    if (wrong > 0 && !chance(random, 0.03)) continue;
    told.push(step);
    world = next;
  }
  return told;
}

function copy(world: World): World {
  return {
    ...world,
    siteByPosition: new Map(world.siteByPosition),
    restraintByPosition: new Map(world.restraintByPosition),
    placeByItem: new Map(world.placeByItem),
    routeByTether: new Map(world.routeByTether),
    stateByHardware: new Map(world.stateByHardware),
    siteByArm: new Map(world.siteByArm),
    parted: new Set(world.parted),
  };
}

function drawStep(random: SeededRandom, world: World, number: number): Step {
  const lane = pick(random, ["ev1", "ev1", "ev2", "ev2", "iv", "arm-op"]);
  const sort: StepSort = pick(random, ["inspect", "inspect", "wait", "ride-arm"]);
  const min = 10 + random.nextBelow(60);
  const likely = min + random.nextBelow(40);
  const effects = drawEffects(random, world, lane);
  const at = world.siteByPosition.get(lane) ?? null;
  const moved = effects.findLast((e) => e.kind === "person-moved" && e.position === lane);
  const reach = [...(sitesInReach(world, lane) ?? [])];
  const site = moved?.kind === "person-moved" ? moved.to : at && pick(random, reach);
  const tool = lane.startsWith("ev") && chance(random, 0.2);
  const isAtHand = canReach(world, lane, world.placeByItem.get("driver"));
  return aStep(`s${number}`, {
    lane: id(lane),
    sort,
    site: chance(random, 0.5) ? id(site as never) : null,
    duration: aDuration(min, likely, likely + random.nextBelow(80)),
    requires: chance(random, 0.4) ? drawConditions(random, world) : [],
    effects,
    fasteners:
      tool && isAtHand
        ? { count: 1, turns: 1, torque: { value: 1, unit: "N·m" }, tool: id("driver") }
        : null,
  });
}

function drawConditions(random: SeededRandom, world: World): readonly Condition[] {
  const { items, hardware } = world.procedure;
  const part = pick(random, hardware);
  const item = pick(random, items);
  const conditions: readonly Condition[] = [
    { hardware: part.id, state: world.stateByHardware.get(part.id) as string },
    { item: item.id, at: world.placeByItem.get(item.id) as Place },
    { arm: id("arm"), at: id(world.siteByArm.get("arm") as string) },
    ...[...world.restraintByPosition].map(([position, inRestraint]) => ({
      position: id<never>(position),
      inRestraint: id<never>(inRestraint),
    })),
  ];
  const drawn = pick(random, conditions);
  return isSo(world, drawn) ? [drawn] : [];
}

function drawEffects(random: SeededRandom, world: World, lane: string): Effect[] {
  if (chance(random, 0.2)) return [];
  if (lane === "arm-op") {
    const from = world.siteByArm.get("arm") as string;
    const to = from === "rack" ? "shelf" : "rack";
    return [{ kind: "arm-moved", arm: id("arm"), from: id(from), to: id(to) }];
  }
  const power: Effect = {
    kind: "hardware-set",
    hardware: id("power"),
    state: pick(random, ["on", "off"]),
  };
  if (lane === "iv") return [power];
  switch (pick(random, ["move", "move", "item", "item", "item", "tether", "stand", "lid"])) {
    case "move":
      return drawMove(random, world, lane);
    case "item":
      return [drawItemMove(random, world, lane)];
    case "tether":
      return drawTether(random, world, lane);
    case "stand":
      return drawStand(world, lane);
    default:
      return [{ kind: "hardware-set", hardware: id("lid"), state: pick(random, ["open", "shut"]) }];
  }
}

function drawMove(random: SeededRandom, world: World, lane: string): Effect[] {
  const from = world.siteByPosition.get(lane) as string;
  const ways = world.procedure.paths.filter((p) => p.from === from || p.to === from);
  if (ways.length === 0 || (from === world.siteByArm.get("arm") && chance(random, 0.4))) {
    const to = from === "tip" ? (world.siteByArm.get("arm") as string) : "tip";
    const position = id<never>(lane);
    return [{ kind: "person-moved", position, from: id(from), to: id(to), via: [] }];
  }
  const way = pick(random, ways);
  const to = way.from === from ? way.to : way.from;
  const position = id<never>(lane);
  return [{ kind: "person-moved", position, from: id(from), to, via: [way.id] }];
}

function drawItemMove(random: SeededRandom, world: World, lane: string): Effect {
  const item = pick(random, world.procedure.items);
  const at = world.siteByPosition.get(lane) as string;
  const places: readonly Place[] = [
    { site: id(at) },
    { position: id(lane) },
    { position: id(lane) },
    { item: id("bag") },
    { position: id(lane === "ev1" ? "ev2" : "ev1") },
  ];
  const from = world.placeByItem.get(item.id) as Place;
  return { kind: "item-moved", item: item.id, from, to: pick(random, places) };
}

function drawTether(random: SeededRandom, world: World, lane: string): Effect[] {
  const mine = world.procedure.tethers.filter((t) => t.wornBy === lane);
  const tether = pick(random, mine);
  const anchor = world.routeByTether.get(tether.id)?.[0];
  const reach = [...(sitesInReach(world, lane) ?? [])];
  if (anchor !== undefined) {
    return [{ kind: "tether-released", tether: tether.id, at: id(anchor) }];
  }
  return [{ kind: "tether-anchored", tether: tether.id, at: id(pick(random, reach)) }];
}

function drawStand(world: World, lane: string): Effect[] {
  const position = id<never>(lane);
  const kind = world.restraintByPosition.has(lane) ? "restraint-left" : "restraint-entered";
  return [{ kind, position, item: id("stand") }];
}

// What is written down of the story's order: all of it, most, some or none.
function writeOrder(random: SeededRandom, told: readonly Step[]): readonly Step[] {
  const share = pick(random, [0, 0.5, 0.8, 1]);
  const steps = told.map((step, place) => {
    const earlier = told.slice(0, place).filter((other) => other.lane !== step.lane);
    const after = earlier.filter(() => chance(random, share)).map((other) => other.id);
    return { ...step, after };
  });
  if (chance(random, 0.15) && steps.length > 2) {
    const [early, late] = [pick(random, steps.slice(0, -1)), pick(random, steps.slice(1))];
    if (early !== late) early.after.push(late.id);
  }
  if (!chance(random, 0.3)) return steps;
  const [one, two] = [pick(random, steps), pick(random, steps)];
  if (one.lane === two.lane) return steps;
  return steps.map((step) =>
    step === one || step === two ? { ...step, meet: id<never>("met") } : step,
  );
}
