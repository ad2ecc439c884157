// What the order of a procedure leaves open, for the walk: a plain closure over lanes, afters and meets.
//
// Definition: step u *comes before* step v when u must be done before v may start: by lane order, by
//   `after`, or because v meets a lane that must have done u to reach the meet.
// Two uses of one thing in different lanes, of which at least one changes it, must be ordered.

import type { Step } from "../../machines/procedure/step.ts";

/** What a step uses, as "sort:id"; `changes` alone collide with each other and with `uses`. */
export type Touches = { readonly changes: Set<string>; readonly uses: Set<string> };

/** A stretch in which a lane has a place at a site or in a restraint, between two of its steps. */
export type Stay = {
  readonly key: string;
  readonly lane: string;
  readonly fromStep: string | null;
  readonly toStep: string | null;
};

/** For each step, every step that comes before it. A cycle leaves steps before themselves. */
export function closeOrder(steps: readonly Step[]): ReadonlyMap<string, ReadonlySet<string>> {
  const direct = new Map(steps.map((step) => [step.id as string, directlyBefore(steps, step)]));
  const closed = new Map<string, Set<string>>();
  for (const step of steps) {
    const seen = new Set<string>();
    const open = [...(direct.get(step.id) ?? [])];
    for (let id = open.pop(); id !== undefined; id = open.pop()) {
      if (!seen.has(id)) {
        seen.add(id);
        open.push(...(direct.get(id) ?? []));
      }
    }
    closed.set(step.id, seen);
  }
  return closed;
}

/** Pairs of steps of different lanes that nothing orders and that collide over one thing. */
export function findCollisions(
  steps: readonly Step[],
  touchesByStep: ReadonlyMap<string, Touches>,
): readonly { readonly first: Step; readonly second: Step; readonly thing: string }[] {
  const before = closeOrder(steps);
  const collisions = [];
  for (const [index, first] of steps.entries()) {
    for (const second of steps.slice(index + 1)) {
      const isOrdered =
        before.get(first.id)?.has(second.id) || before.get(second.id)?.has(first.id);
      if (first.lane === second.lane || isOrdered) {
        continue;
      }
      for (const thing of collidingThings(
        touchesByStep.get(first.id),
        touchesByStep.get(second.id),
      )) {
        collisions.push({ first, second, thing });
      }
    }
  }
  return collisions;
}

/** Stays of two lanes with one key that nothing keeps apart. */
export function findOverlaps(
  steps: readonly Step[],
  stays: readonly Stay[],
): readonly { readonly first: Stay; readonly second: Stay }[] {
  const before = closeOrder(steps);
  const isApart = (a: Stay, b: Stay) =>
    a.toStep !== null && b.fromStep !== null && before.get(b.fromStep)?.has(a.toStep) === true;
  return stays.flatMap((first, index) =>
    stays
      .slice(index + 1)
      .filter((second) => first.key === second.key && first.lane !== second.lane)
      .filter((second) => !isApart(first, second) && !isApart(second, first))
      .map((second) => ({ first, second })),
  );
}

function directlyBefore(steps: readonly Step[], step: Step): readonly string[] {
  const together = step.meet === null ? [step] : steps.filter((s) => s.meet === step.meet);
  return together.flatMap((mate) => {
    const lane = steps.filter((s) => s.lane === mate.lane);
    const previous = lane[lane.indexOf(mate) - 1];
    const afters = mate.after.filter((id) => steps.some((s) => s.id === id));
    return previous ? [previous.id, ...afters] : afters;
  });
}

function collidingThings(a: Touches | undefined, b: Touches | undefined): readonly string[] {
  if (!a || !b) {
    return [];
  }
  const things = new Set<string>();
  for (const thing of a.changes) {
    if (b.changes.has(thing) || b.uses.has(thing)) {
      things.add(thing);
    }
  }
  for (const thing of b.changes) {
    if (a.uses.has(thing)) {
      things.add(thing);
    }
  }
  return [...things];
}
