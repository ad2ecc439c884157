// Whether each suited person could reach the other at every step, and how soon.
//
// Definition: a person *reaches* another if they get to the other's spot, or to within touch of it,
//   without hooking anything new: held by a tether that they have, once those that can be let go of here
//   are.
// [buddy-reach 1] A step has the slowest reach over everything that the other may be at meanwhile.
// [buddy-reach 2] Whom nobody can reach is a doubt, told once for each pair with all the steps.

import { createHeap } from "../base/heap.ts";
import { groupBy } from "../base/group-by.ts";
import type { PathId, PositionId, StepId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { orderPlay } from "../plan/check-plan.ts";
import { placeOf } from "../plan/finding.ts";
import type { Finding } from "../plan/finding.ts";
import { isBefore } from "../plan/happens-before.ts";
import type { PlanOrder } from "../plan/happens-before.ts";
import { positionWords, siteWords, stepWords } from "../plan/plan-words.ts";
import { createLineReach, isWithinTouch, listSpots, listWays, spotKey } from "./return-graph.ts";
import type { Spot, Way } from "./return-graph.ts";
import { usualReturnRules } from "./return-rules.ts";
import type { ReturnRules } from "./return-rules.ts";
import { listSuitedMoments } from "./suited-moments.ts";
import type { SuitedMoment } from "./suited-moments.ts";

/** How a person could reach another from one step. */
export type BuddyPoint = {
  readonly step: StepId;
  readonly position: PositionId;
  readonly buddy: PositionId;
  /** The slowest, over all that the buddy may be at meanwhile; Infinity: somewhere out of reach. */
  readonly reachSeconds: number;
  /** The buddy's step and spot for which it is. */
  readonly beside: StepId;
  readonly besideSpot: Spot;
};

/** Every step of every suited lane with each other suited person. Errors: none. */
export function buddyReach(
  index: ProcedureIndex,
  rules: ReturnRules = usualReturnRules,
): readonly BuddyPoint[] {
  const { order } = orderPlay(index, []);
  const moments = listSuitedMoments(index, order);
  const byPosition = groupBy(moments, ({ position }) => position);
  const reach = createReach(index, rules);
  const points = new Map<string, BuddyPoint>();
  for (const [position, own] of byPosition) {
    for (const [buddy, others] of byPosition) {
      if (buddy === position) continue;
      const spans = spansOf(order, others, reach.numberOf);
      for (const moment of own) notePoints(order, { moment, buddy, spans, reach, points });
    }
  }
  return [...points.values()];
}

/** Doubts about whom nobody reaches. Errors: none. */
export function findLostBuddies(
  index: ProcedureIndex,
  points: readonly BuddyPoint[],
): readonly Finding[] {
  const lost = points.filter(({ reachSeconds }) => reachSeconds === Infinity);
  const pairs = groupBy(lost, ({ position, buddy }) => `${position} ${buddy}`);
  return [...pairs.values()].map((found) => {
    const [first] = found as readonly [BuddyPoint];
    const names = [first.position, first.buddy].map((id) => positionWords(index, id));
    const more = found.length === 1 ? "" : ` So it is in ${found.length} steps.`;
    return {
      kind: "buddy-out-of-reach",
      grade: "doubt",
      where: placeOf({
        steps: found.map(({ step }) => step),
        positions: [first.position, first.buddy],
        sites: [first.besideSpot.site],
      }),
      says: `In ${stepWords(index, first.step)} ${names[0]} can't reach ${names[1]} without hooking anew, while ${names[1]} may be at ${siteWords(index, first.besideSpot.site)} in ${stepWords(index, first.beside)}.${more}`,
      witness: null,
      mend: {
        says: `Say who helps ${names[1]} then, keep a long tether hooked, or let ${names[0]} wait nearer.`,
        edits: [],
      },
      onlyWith: [],
    };
  });
}

type Span = {
  readonly moment: SuitedMoment;
  readonly spot: number;
  readonly from: number;
  readonly until: number;
};

// From the step that brings a state to the step that ends it.
function spansOf(
  order: PlanOrder,
  moments: readonly SuitedMoment[],
  spotNumberOf: Reach["numberOf"],
): readonly Span[] {
  const numberOf = (moment: SuitedMoment) => order.numbers.get(moment.step) as number;
  const spans: Span[] = [];
  for (const [place, moment] of moments.entries()) {
    const next = moments[place + 1];
    const until = next === undefined ? order.steps.length : numberOf(next);
    spans.push({ moment, spot: spotNumberOf(moment.spot), from: numberOf(moment), until });
  }
  return spans;
}

type Noting = {
  readonly moment: SuitedMoment;
  readonly buddy: PositionId;
  readonly spans: readonly Span[];
  readonly reach: Reach;
  readonly points: Map<string, BuddyPoint>;
};

function notePoints(order: PlanOrder, { moment, buddy, spans, reach, points }: Noting): void {
  const { step, position } = moment;
  const number = order.numbers.get(step) as number;
  const key = `${step} ${buddy}`;
  const seconds = reach.secondsFrom(moment);
  let known = points.get(key);
  // The buddy's spans follow each other: those that are over come first, those that come after last.
  const end = order.steps.length;
  const isOver = ({ until }: Span) => until < end && isBefore(order, until, number);
  const first = countWhile(spans, isOver);
  const last = countWhile(spans, ({ from }) => !isBefore(order, number, from));
  for (let place = first; place < last; place += 1) {
    const { moment: other, spot } = spans[place] as Span;
    const reachSeconds = seconds[spot] ?? Infinity;
    if (known !== undefined && known.reachSeconds >= reachSeconds) continue;
    const beside = { beside: other.step, besideSpot: other.spot };
    known = { step, position, buddy, reachSeconds, ...beside };
  }
  if (known !== undefined) points.set(key, known);
}

// How many values at the front are so; what is so for one is so for all before it.
function countWhile<Value>(values: readonly Value[], isSo: (value: Value) => boolean): number {
  let [low, high] = [0, values.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (isSo(values[middle] as Value)) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Seconds from a moment's state to within touch of each spot, by the spot's number. */
type Reach = {
  readonly numberOf: (spot: Spot) => number;
  readonly secondsFrom: (moment: SuitedMoment) => Float64Array;
};

// The same states are asked for often.
function createReach(index: ProcedureIndex, rules: ReturnRules): Reach {
  const spots = listSpots(index);
  const numbers = new Map(spots.map((spot, number) => [spotKey(spot), number]));
  const numberOf = (spot: Spot) => numbers.get(spotKey(spot)) ?? -1;
  const touching = spots.map((spot, number) =>
    [...spots.keys()].filter((other) => {
      const near = spots[other] as Spot;
      return other === number || near.site === spot.armAt || near.armAt === spot.site;
    }),
  );
  const known = new Map<string, Float64Array>();
  const lineReaches = createLineReach(index);
  const waysByClosed = new Map<string, readonly (readonly Way[])[]>();
  const secondsFrom = (moment: SuitedMoment): Float64Array => {
    const closedKey = moment.closedPaths.join(" ");
    const key = [spotKey(moment.spot), moment.isInRestraint, closedKey, ...moment.hooking].join(
      "|",
    );
    const found = known.get(key);
    if (found !== undefined) return found;
    const closedPaths = new Set<PathId>(moment.closedPaths);
    const ways = waysByClosed.get(closedKey) ?? listWays(index, { closedPaths, rules }, spots);
    waysByClosed.set(closedKey, ways);
    const from = numberOf(moment.spot);
    const tables = waysToHold(index, rules, moment).map(({ kept, leaving }) => {
      const isAllowed = (spot: number) =>
        kept.every(({ tether, anchor }) => lineReaches(tether, anchor, spots[spot] as Spot)) &&
        (kept.length > 0 || index.sitesById.get((spots[spot] as Spot).site)?.sort === "hatch");
      const isTied = kept.some(({ anchor }) => !index.procedure.arms.some((a) => a.tip === anchor));
      return spread(ways, { from, leaving, isAllowed, isTied });
    });
    const reached = touchedSeconds(touching, from, tables);
    known.set(key, reached);
    return reached;
  };
  return { numberOf, secondsFrom };
}

type Hold = {
  readonly kept: ReturnType<typeof hookedTethers>;
  readonly leaving: number;
};

// What can't be let go of here holds; if nothing does, one that could be let go of must; and at a hatch
// any tether that may be hooked there.
function waysToHold(
  index: ProcedureIndex,
  rules: ReturnRules,
  moment: SuitedMoment,
): readonly Hold[] {
  const hooked = hookedTethers(index, moment);
  const leaving = moment.isInRestraint ? rules.leaveRestraintSeconds : 0;
  const fixed = hooked.filter(({ anchor }) => !isWithinTouch(index, moment.spot, anchor));
  const held = (kept: Hold["kept"]): Hold => {
    const dropped = hooked.filter((one) => !kept.includes(one));
    return { kept, leaving: leaving + dropped.length * rules.unhookSeconds };
  };
  if (fixed.length > 0) return [held(fixed)];
  const { site } = moment.spot;
  if (index.sitesById.get(site)?.sort !== "hatch") return hooked.map((one) => held([one]));
  const atHatch = index.procedure.tethers.filter(
    ({ wornBy, anchorSites }) => wornBy === moment.position && anchorSites.includes(site),
  );
  const anew = atHatch.map((tether) => held([{ tether, anchor: site }]));
  return [
    held([]),
    ...hooked.map((one) => held([one])),
    ...anew.map((hold) => ({ ...hold, leaving: hold.leaving + rules.hookSeconds })),
  ];
}

function hookedTethers({ procedure }: ProcedureIndex, { position, hooking }: SuitedMoment) {
  const worn = procedure.tethers.filter(({ wornBy }) => wornBy === position);
  return worn.flatMap((tether, place) => {
    const anchor = hooking[place] ?? null;
    return anchor === null ? [] : [{ tether, anchor }];
  });
}

type Spreading = {
  readonly from: number;
  readonly leaving: number;
  readonly isAllowed: (spot: number) => boolean;
  readonly isTied: boolean;
};

function spread(
  ways: readonly (readonly Way[])[],
  { from, leaving, isAllowed, isTied }: Spreading,
): Float64Array {
  const seconds = new Float64Array(ways.length).fill(Infinity);
  const open = createHeap<readonly [number, number]>((a, b) => a[0] < b[0]);
  if (from < 0) return seconds;
  seconds[from] = leaving;
  open.push([leaving, from]);
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    const [at, spot] = next;
    if (at > (seconds[spot] as number)) continue;
    for (const way of ways[spot] as readonly Way[]) {
      const total = at + way.seconds;
      if (total >= (seconds[way.to] as number)) continue;
      if (!isAllowed(way.to) || (way.byArm !== null && isTied)) continue;
      seconds[way.to] = total;
      open.push([total, way.to]);
    }
  }
  return seconds;
}

// To be at a spot, or where one touches it: at the site that the tip is at, or on the tip there. Who
// touches it already need not leave anything.
function touchedSeconds(
  touching: readonly (readonly number[])[],
  from: number,
  tables: readonly Float64Array[],
): Float64Array {
  const touched = new Float64Array(touching.length).fill(Infinity);
  for (const [spot, near] of touching.entries()) {
    for (const other of near) {
      for (const table of tables) {
        touched[spot] = Math.min(touched[spot] as number, table[other] as number);
      }
      if (other === from) touched[spot] = 0;
    }
  }
  return touched;
}
