// A slow and obvious walk through a procedure: every step in play, at one duration each, every effect
// applied in order, and everything that does not fit reported.
//
// It shares no code with the plan check, so that the two can be held against each other.
// A step's conditions are looked at when it starts and when it is done; its effects come at its end.

import type { Duration } from "../../machines/procedure/duration.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Step } from "../../machines/procedure/step.ts";
import { findCollisions, findOverlaps, type Stay, type Touches } from "./walk-order.ts";
import {
  applyEffectMutable,
  canReach,
  createWorld,
  isSo,
  placesAround,
  samePlace,
  siteOf,
  sitesInReach,
  type Inconsistency,
  type World,
} from "./walk-world.ts";

/** How to walk. */
export type WalkOptions = {
  /** Contingency tasks that a choice brings into play; none unless given. */
  readonly contingencies?: readonly string[];
  /** Tasks left out. */
  readonly deferred?: readonly string[];
  /** Which of the three durations every step takes; likely unless given. */
  readonly duration?: keyof Duration;
};

/** What a walk found. */
export type Walk = {
  readonly inconsistencies: readonly Inconsistency[];
  readonly steps: readonly Step[];
  readonly spanByStep: ReadonlyMap<string, { readonly start: number; readonly end: number }>;
  readonly endSeconds: number;
};

/** Walks a procedure; an empty list of inconsistencies means that it holds together. */
export function walkProcedure(procedure: Procedure, options: WalkOptions = {}): Walk {
  const inconsistencies: Inconsistency[] = [];
  const report: World["report"] = (rule, step, says) => {
    inconsistencies.push({ rule, step: step?.id ?? null, says });
  };
  const world = createWorld(procedure, report);
  const steps = stepsInPlay(procedure, options);
  const touchesByStep = new Map<string, Touches>();
  const spanByStep = scheduleSteps(world, steps, options.duration ?? "likelySeconds", {
    start: (step) => {
      touchesByStep.set(step.id, touchesOf(world, step));
      checkStart(world, step);
    },
    finish: (step) => {
      checkRequirements(world, step);
      for (const effect of step.effects) {
        applyEffectMutable(world, step, effect);
      }
    },
  });
  const endSeconds = Math.max(0, ...[...spanByStep.values()].map((span) => span.end));
  checkEnd(world, endSeconds);
  checkClocks(world, spanByStep);
  checkHazards(world, steps);
  for (const { first, second, thing } of findCollisions(steps, touchesByStep)) {
    report("unordered", second, `nothing orders ${first.id} and ${second.id}, both on ${thing}`);
  }
  for (const { first, second } of findOverlaps(steps, staysOf(world, steps))) {
    const says = `nothing keeps ${first.lane} from ${first.fromStep} and ${second.lane} from ${second.fromStep} apart at ${first.key}`;
    report("site-capacity", null, says);
  }
  return { inconsistencies, steps, spanByStep, endSeconds };
}

function stepsInPlay(procedure: Procedure, options: WalkOptions): readonly Step[] {
  return procedure.steps.filter((step) => {
    const task = procedure.tasks.find((t) => t.id === step.task);
    const isCalled = !task?.contingency || options.contingencies?.includes(step.task);
    return isCalled && !options.deferred?.includes(step.task);
  });
}

type Hooks = { readonly start: (step: Step) => void; readonly finish: (step: Step) => void };

function scheduleSteps(
  world: World,
  steps: readonly Step[],
  duration: keyof Duration,
  hooks: Hooks,
): ReadonlyMap<string, { readonly start: number; readonly end: number }> {
  const spanByStep = new Map<string, { start: number; end: number }>();
  const done = new Set<string>();
  let now = 0;
  while (done.size < steps.length) {
    const running = steps.filter((s) => spanByStep.has(s.id) && !done.has(s.id));
    const ready = readySteps(steps, spanByStep, done).map((step) => {
      const start = startInWindows(world, step, now, duration);
      return { step, start };
    });
    const nextEnd = running.toSorted((a, b) => endOf(spanByStep, a) - endOf(spanByStep, b))[0];
    const nextStart = ready.toSorted((a, b) => a.start - b.start)[0];
    if (nextEnd && (!nextStart || endOf(spanByStep, nextEnd) <= nextStart.start)) {
      now = endOf(spanByStep, nextEnd);
      done.add(nextEnd.id);
      hooks.finish(nextEnd);
    } else if (nextStart) {
      now = nextStart.start;
      const end = now + nextStart.step.duration[duration];
      spanByStep.set(nextStart.step.id, { start: now, end });
      hooks.start(nextStart.step);
    } else {
      const stuck = headsOfLanes(steps, done).map((s) => s.id);
      world.report("deadlock", null, `no lane can go on; they stand at ${stuck.join(", ")}`);
      break;
    }
  }
  return spanByStep;
}

type Spans = ReadonlyMap<string, { readonly start: number; readonly end: number }>;

function endOf(spans: Spans, step: Step): number {
  return spans.get(step.id)?.end ?? Infinity;
}

function headsOfLanes(steps: readonly Step[], done: ReadonlySet<string>): readonly Step[] {
  const lanes = new Set(steps.map((s) => s.lane));
  return [...lanes].flatMap((lane) => steps.find((s) => s.lane === lane && !done.has(s.id)) ?? []);
}

function readySteps(
  steps: readonly Step[],
  spans: Spans,
  done: ReadonlySet<string>,
): readonly Step[] {
  const ids = new Set<string>(steps.map((s) => s.id));
  const heads = headsOfLanes(steps, done);
  const isFree = (step: Step) => step.after.every((id) => !ids.has(id) || done.has(id));
  const hasArrived = (step: Step) => spans.has(step.id) || (heads.includes(step) && isFree(step));
  return heads.filter(
    (step) =>
      !spans.has(step.id) &&
      isFree(step) &&
      (step.meet === null || steps.filter((s) => s.meet === step.meet).every(hasArrived)),
  );
}

function startInWindows(world: World, step: Step, now: number, duration: keyof Duration): number {
  let start = now;
  const windows = world.procedure.windows.filter((w) => step.needsWindows.includes(w.id));
  for (let turn = 0; turn < 100; turn += 1) {
    const end = start + step.duration[duration];
    const missed = windows.find(
      (w) => !w.spans.some((s) => s.fromSeconds <= start && end <= s.toSeconds),
    );
    if (!missed) {
      return start;
    }
    const next = missed.spans.find((s) => s.fromSeconds > start);
    if (!next) {
      world.report("window", step, `${missed.id} does not come again for ${step.id}`);
      return start;
    }
    start = next.fromSeconds;
  }
  return start;
}

function checkStart(world: World, step: Step): void {
  const reach = sitesInReach(world, step.lane);
  const move = step.effects.findLast((e) => e.kind === "person-moved" && e.position === step.lane);
  if (move?.kind === "person-moved") {
    if (move.to !== step.site) {
      world.report("person-place", step, `it ends at ${move.to}, not at its site ${step.site}`);
    }
  } else if ((step.site === null) !== (reach === undefined)) {
    world.report("person-place", step, `${step.lane} and the step are not both at a site`);
  } else if (step.site !== null && !reach?.has(step.site)) {
    world.report("person-place", step, `${step.lane} is not at ${step.site}`);
  }
  const tool = step.fasteners && world.placeByItem.get(step.fasteners.tool);
  if (tool && !canReach(world, step.lane, tool)) {
    world.report("requirement", step, `${step.fasteners?.tool} is not at hand`);
  }
  checkRequirements(world, step);
}

function checkRequirements(world: World, step: Step): void {
  for (const condition of step.requires) {
    if (!isSo(world, condition)) {
      world.report("requirement", step, `it is not so that ${JSON.stringify(condition)}`);
    }
  }
}

/** What a step changes and uses; looked at when it starts, so that bags in bags are where they are then. */
function touchesOf(world: World, step: Step): Touches {
  const changes = new Set<string>();
  const uses = new Set<string>();
  const useAround = (place: Parameters<typeof placesAround>[1]) => {
    for (const around of placesAround(world, place)) {
      if ("item" in around) {
        uses.add(`item:${around.item}`);
      }
    }
  };
  for (const effect of step.effects) {
    if (effect.kind === "item-moved") {
      changes.add(`item:${effect.item}`);
      useAround(effect.from);
      useAround(effect.to);
    } else if (effect.kind === "hardware-set") {
      changes.add(`hardware:${effect.hardware}`);
    } else if (effect.kind === "arm-moved") {
      changes.add(`arm:${effect.arm}`);
    } else if (effect.kind === "restraint-entered") {
      uses.add(`item:${effect.item}`);
    }
  }
  for (const condition of step.requires) {
    if ("hardware" in condition) {
      uses.add(`hardware:${condition.hardware}`);
    } else if ("item" in condition) {
      uses.add(`item:${condition.item}`);
      useAround(condition.at);
    } else if ("arm" in condition) {
      uses.add(`arm:${condition.arm}`);
    }
  }
  if (step.fasteners) {
    uses.add(`item:${step.fasteners.tool}`);
    useAround(world.placeByItem.get(step.fasteners.tool));
  }
  const arm = world.procedure.arms.find((a) => a.tip === world.siteByPosition.get(step.lane));
  if (arm && step.sort !== "ride-arm") {
    uses.add(`arm:${arm.id}`);
  }
  return { changes, uses };
}

/** Stays where only one fits: at sites for one, and in foot restraints. */
function staysOf(world: World, steps: readonly Step[]): readonly Stay[] {
  const stays: Stay[] = [];
  for (const { id: lane, startsAt } of world.procedure.positions) {
    let at: string | null = startsAt;
    let since: string | null = null;
    const leave = (step: Step | null) => {
      if (siteOf(world, at)?.capacity === 1) {
        stays.push({ key: `site:${at}`, lane, fromStep: since, toStep: step?.id ?? null });
      }
    };
    const own = steps.filter((step) => step.lane === lane);
    const acts = own.flatMap((step) => step.effects.map((effect) => ({ step, effect })));
    for (const { step, effect } of acts) {
      if (effect.kind === "person-moved" && effect.position === lane) {
        leave(step);
        at = effect.to;
        since = step.id;
      } else if (effect.kind === "restraint-entered") {
        const left = own.slice(own.indexOf(step)).find((s) => leaves(s, effect.item));
        const key = `item:${effect.item}`;
        stays.push({ key, lane, fromStep: step.id, toStep: left?.id ?? null });
      }
    }
    leave(null);
  }
  return stays;
}

function leaves(step: Step, item: string): boolean {
  return step.effects.some((e) => e.kind === "restraint-left" && e.item === item);
}

function checkEnd(world: World, endSeconds: number): void {
  for (const item of world.procedure.items) {
    const place = world.placeByItem.get(item.id);
    if (!item.mustEndAt.some((end) => samePlace(place, end))) {
      world.report("end-place", null, `${item.id} ends at ${JSON.stringify(place)}`);
    }
  }
  for (const person of world.procedure.positions.filter((p) => p.sort === "suited")) {
    const at = world.siteByPosition.get(person.id);
    if (siteOf(world, at)?.sort !== "hatch") {
      world.report("end-place", null, `${person.id} ends at ${at}, outside`);
    }
  }
  for (const connector of world.parted) {
    world.report("cap-missing", null, `${connector} is parted and without a cap at the end`);
  }
  if (endSeconds > world.procedure.limits.runSecondsMax) {
    world.report("run-length", null, `it takes ${endSeconds} s`);
  }
}

function checkClocks(world: World, spans: Spans): void {
  for (const clock of world.procedure.clocks) {
    const [from, to] = [clock.from, clock.to].map((moment) => {
      const span = spans.get(moment.step);
      return moment.at === "start" ? span?.start : span?.end;
    });
    if (from === undefined || to === undefined) {
      continue;
    }
    const seconds = to - from;
    if (seconds < (clock.atLeastSeconds ?? 0) || seconds > (clock.atMostSeconds ?? Infinity)) {
      world.report("clock", null, `${clock.id} takes ${seconds} s`);
    }
  }
}

const hazardByStepSort = {
  connect: "connector",
  disconnect: "connector",
  "open-cover": "pinch",
  "close-cover": "pinch",
  "move-arm": "moving-arm",
  "ride-arm": "moving-arm",
} as const;

function checkHazards(world: World, steps: readonly Step[]): void {
  for (const step of steps) {
    const sort = hazardByStepSort[step.sort as keyof typeof hazardByStepSort];
    if (sort && !step.hazards.some((h) => h.sort === sort)) {
      world.report("hazard-missing", step, `a step of sort ${step.sort} warns of no ${sort}`);
    }
  }
  const ids = new Set<string>(world.procedure.steps.map((s) => s.id));
  for (const step of steps) {
    for (const id of step.after.filter((a) => !ids.has(a))) {
      world.report("after-unknown", step, `there is no step ${id}`);
    }
  }
}
