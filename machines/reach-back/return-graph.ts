// The states in which a suited person can be on the way back, and the shortest time to the hatch from
// all of them at once.
//
// Definition: a *spot* is a site, or an arm's tip with the site that it is at. A *hooking* says for each
//   tether that the person wears where it is anchored, or that it is free. A *state* is both.
// A line is taken to run the shortest way from its anchor; where ways run in rings it may be longer.
// [return-graph 1] Between any two states stand exactly: a path that is open, along which every hooked
//   tether reaches; hooking and unhooking within reach; a step onto or off an arm's tip; a move of the
//   arm with nothing hooked but to its tip.
// [return-graph 2] Outside the hatch no state is without a hooked tether.
// [return-graph 3] The times are the least over all chains of such moves to a state that is home.

import { createHeap } from "../base/heap.ts";
import type { ArmId, PathId, PositionId, SiteId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Tether } from "../procedure/procedure.ts";
import type { ReturnRules } from "./return-rules.ts";

/** A site; on an arm's tip with where the arm is. */
export type Spot = { readonly site: SiteId; readonly armAt: SiteId | null };

/** Where each tether is anchored, in the order of `tethers`; null: free. */
export type Hooking = readonly (SiteId | null)[];

/** Spots, hookings and the moves between them, for one person and one set of closed paths. */
export type ReturnGraph = {
  readonly spots: readonly Spot[];
  readonly tethers: readonly Tether[];
  readonly hookings: readonly Hooking[];
  /** Number of the state, or -1 if it may not be. */
  readonly stateOf: (spot: Spot, hooking: Hooking) => number;
  /** Moves out of each state: the state that they lead to, then the seconds, and so on. */
  readonly moves: readonly (readonly number[])[];
  readonly isAllowed: Uint8Array;
};

/** What a return graph is built from. */
export type ReturnGround = {
  readonly position: PositionId;
  readonly closedPaths: ReadonlySet<PathId>;
  readonly rules: ReturnRules;
};

/** Builds the states of a person. Errors: none; sites that no path reaches stay alone. */
export function buildReturnGraph(index: ProcedureIndex, ground: ReturnGround): ReturnGraph {
  const spots = listSpots(index);
  const tethers = index.procedure.tethers.filter(({ wornBy }) => wornBy === ground.position);
  const hookings = listHookings(tethers);
  const spotNumbers = new Map(spots.map((spot, number) => [spotKey(spot), number]));
  const hookingNumbers = new Map(hookings.map((hooking, number) => [hooking.join(" "), number]));
  const isAllowed = markAllowed(index, spots, tethers, hookings);
  const stateOf = (spot: Spot, hooking: Hooking): number => {
    const spotNumber = spotNumbers.get(spotKey(spot));
    const hookingNumber = hookingNumbers.get(hooking.join(" "));
    if (spotNumber === undefined || hookingNumber === undefined) return -1;
    return spotNumber * hookings.length + hookingNumber;
  };
  const graph = { spots, tethers, hookings, stateOf, isAllowed, moves: [] };
  const ways = listWays(index, ground, spots);
  const hooks = listHooks(ground.rules, graph, hookingNumbers);
  const moves = Array.from({ length: spots.length * hookings.length }, (_, state) =>
    movesFrom(index, graph, { ways, hooks, state }),
  );
  return { ...graph, moves };
}

/**
 * The least seconds from every state to one that is home; Infinity where there is no way.
 *
 * @param isHome by spot and hooking
 * Errors: none.
 */
export function secondsHome(
  graph: ReturnGraph,
  isHome: (spot: Spot, hooking: Hooking) => boolean,
): Float64Array {
  const { spots, hookings, moves, isAllowed } = graph;
  const seconds = new Float64Array(moves.length).fill(Infinity);
  const into: number[][] = moves.map(() => []);
  for (const [state, out] of moves.entries()) {
    for (let place = 0; place < out.length; place += 2) {
      into[out[place] as number]?.push(state, out[place + 1] as number);
    }
  }
  const open = createHeap<readonly [number, number]>((a, b) => a[0] < b[0]);
  for (const state of moves.keys()) {
    const spot = spots[Math.floor(state / hookings.length)] as Spot;
    const hooking = hookings[state % hookings.length] as Hooking;
    if (isAllowed[state] !== 1 || !isHome(spot, hooking)) continue;
    seconds[state] = 0;
    open.push([0, state]);
  }
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    const [at, state] = next;
    if (at > (seconds[state] as number)) continue;
    const from = into[state] as readonly number[];
    for (let place = 0; place < from.length; place += 2) {
      const before = from[place] as number;
      const total = at + (from[place + 1] as number);
      if (total >= (seconds[before] as number)) continue;
      seconds[before] = total;
      open.push([total, before]);
    }
  }
  return seconds;
}

/**
 * Whether who is at a spot can touch an anchor: it is there, or the arm's tip that is there, or may be.
 *
 * Errors: none.
 */
export function isWithinTouch(
  { procedure }: ProcedureIndex,
  { site, armAt }: Spot,
  anchor: SiteId,
): boolean {
  if (anchor === site || anchor === armAt) return true;
  return procedure.arms.some(({ tip, reaches }) => tip === anchor && reaches.includes(site));
}

/** Names a spot. Errors: none. */
export function spotKey({ site, armAt }: Spot): string {
  return `${site} ${armAt ?? ""}`;
}

/** Every spot: the sites, and each arm's tip at each site that it reaches. Errors: none. */
export function listSpots({ procedure }: ProcedureIndex): readonly Spot[] {
  const tips = new Set(procedure.arms.map(({ tip }) => tip));
  const sites = procedure.sites.filter(({ id }) => !tips.has(id));
  return [
    ...sites.map(({ id }) => ({ site: id, armAt: null })),
    ...procedure.arms.flatMap(({ tip, reaches }) => reaches.map((armAt) => ({ site: tip, armAt }))),
  ];
}

// Many tethers with many anchors each would be too many states; the last ones then have none.
const hookingsMax = 4000;

function listHookings(tethers: readonly Tether[]): readonly Hooking[] {
  let hookings: Hooking[] = [[]];
  for (const { anchorSites } of tethers) {
    const anchors = hookings.length * (anchorSites.length + 1) > hookingsMax ? [] : anchorSites;
    hookings = hookings.flatMap((hooking) =>
      [null, ...anchors].map((anchor) => [...hooking, anchor]),
    );
  }
  return hookings;
}

/** A move from one spot to another; `byArm` is the tip that the arm moves, if it is the arm's move. */
export type Way = { readonly to: number; readonly seconds: number; readonly byArm: SiteId | null };

/** The moves out of each spot. Errors: none. */
export function listWays(
  index: ProcedureIndex,
  { closedPaths, rules }: Pick<ReturnGround, "closedPaths" | "rules">,
  spots: readonly Spot[],
): readonly (readonly Way[])[] {
  const numbers = new Map(spots.map((spot, number) => [spotKey(spot), number]));
  const ways: Way[][] = spots.map(() => []);
  const add = (from: Spot, to: Spot, seconds: number, byArm: SiteId | null) => {
    const [a, b] = [numbers.get(spotKey(from)), numbers.get(spotKey(to))];
    if (a !== undefined && b !== undefined) ways[a]?.push({ to: b, seconds, byArm });
  };
  for (const { id, from, to, duration } of index.procedure.paths) {
    if (closedPaths.has(id)) continue;
    const ends = [from, to].map((site) => ({ site, armAt: null })) as [Spot, Spot];
    add(ends[0], ends[1], duration.maxSeconds, null);
    add(ends[1], ends[0], duration.maxSeconds, null);
  }
  for (const { id, tip, reaches } of index.procedure.arms) {
    for (const armAt of reaches) {
      const onTip = { site: tip, armAt };
      add(onTip, { site: armAt, armAt: null }, rules.stepOverSeconds, null);
      for (const other of reaches.filter((site) => site !== armAt)) {
        add(onTip, { site: tip, armAt: other }, armSeconds(index, id, rules), tip);
      }
    }
  }
  return ways;
}

// The longest that the plan allows for any of the arm's moves.
function armSeconds(index: ProcedureIndex, arm: ArmId, rules: ReturnRules): number {
  const moving = index.procedure.steps.filter(({ effects }) =>
    effects.some((effect) => effect.kind === "arm-moved" && effect.arm === arm),
  );
  if (moving.length === 0) return rules.moveArmSeconds;
  return Math.max(...moving.map(({ duration }) => duration.maxSeconds));
}

/**
 * Tells whether a tether that is hooked at an anchor lets its wearer be at a spot.
 *
 * Hooked to an arm's tip: on the tip, and where the arm can bring it. Errors: none.
 */
export function createLineReach(
  index: ProcedureIndex,
): (tether: Tether, anchor: SiteId, spot: Spot) => boolean {
  const metresFrom = new Map<SiteId, ReadonlyMap<SiteId, number>>();
  return (tether, anchor, { site, armAt }) => {
    const arm = index.procedure.arms.find(({ tip }) => tip === anchor);
    if (arm !== undefined) return site === arm.tip || arm.reaches.includes(site);
    const metres = metresFrom.get(anchor) ?? metresByPath(index, anchor);
    metresFrom.set(anchor, metres);
    return (metres.get(armAt ?? site) ?? Infinity) <= tether.lengthMetres + 1e-9;
  };
}

function markAllowed(
  index: ProcedureIndex,
  spots: readonly Spot[],
  tethers: readonly Tether[],
  hookings: readonly Hooking[],
): Uint8Array {
  const reaches = createLineReach(index);
  const isAllowed = new Uint8Array(spots.length * hookings.length);
  for (const [spotNumber, spot] of spots.entries()) {
    const isHatch = index.sitesById.get(spot.site)?.sort === "hatch";
    for (const [hookingNumber, hooking] of hookings.entries()) {
      const isHeld = hooking.some((anchor) => anchor !== null);
      const fits = hooking.every(
        (anchor, place) => anchor === null || reaches(tethers[place] as Tether, anchor, spot),
      );
      const state = spotNumber * hookings.length + hookingNumber;
      isAllowed[state] = fits && (isHeld || isHatch) ? 1 : 0;
    }
  }
  return isAllowed;
}

function metresByPath({ procedure }: ProcedureIndex, from: SiteId): ReadonlyMap<SiteId, number> {
  const metres = new Map<SiteId, number>([[from, 0]]);
  const open = createHeap<readonly [number, SiteId]>((a, b) => a[0] < b[0]);
  open.push([0, from]);
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    const [at, site] = next;
    if (at > (metres.get(site) ?? Infinity)) continue;
    for (const path of procedure.paths) {
      if (path.from !== site && path.to !== site) continue;
      const other = path.from === site ? path.to : path.from;
      const total = at + path.lengthMetres;
      if (total >= (metres.get(other) ?? Infinity)) continue;
      metres.set(other, total);
      open.push([total, other]);
    }
  }
  return metres;
}

type Hook = { readonly to: number; readonly seconds: number; readonly anchor: SiteId };

// By hooking: what may be hooked or let go of, wherever its anchor is within reach.
function listHooks(
  rules: ReturnRules,
  { hookings, tethers }: Pick<ReturnGraph, "hookings" | "tethers">,
  numbers: ReadonlyMap<string, number>,
): readonly (readonly Hook[])[] {
  return hookings.map((hooking) =>
    tethers.flatMap(({ anchorSites }, place): Hook[] => {
      const change = (anchor: SiteId | null) =>
        numbers.get(hooking.map((other, at) => (at === place ? anchor : other)).join(" "));
      const hooked = hooking[place] ?? null;
      const free = change(null);
      if (hooked !== null && free !== undefined) {
        return [{ to: free, seconds: rules.unhookSeconds, anchor: hooked }];
      }
      return anchorSites.flatMap((anchor) => {
        const to = change(anchor);
        return to === undefined ? [] : [{ to, seconds: rules.hookSeconds, anchor }];
      });
    }),
  );
}

type Leaving = {
  readonly ways: readonly (readonly Way[])[];
  readonly hooks: readonly (readonly Hook[])[];
  readonly state: number;
};

function movesFrom(
  index: ProcedureIndex,
  { spots, hookings, isAllowed }: Omit<ReturnGraph, "moves">,
  { ways, hooks, state }: Leaving,
): readonly number[] {
  if (isAllowed[state] !== 1) return [];
  const count = hookings.length;
  const spotNumber = Math.floor(state / count);
  const hookingNumber = state % count;
  const spot = spots[spotNumber] as Spot;
  const hooking = hookings[hookingNumber] as Hooking;
  const moves: number[] = [];
  for (const { to, seconds, byArm } of ways[spotNumber] as readonly Way[]) {
    const isTied = byArm !== null && hooking.some((anchor) => anchor !== null && anchor !== byArm);
    const next = to * count + hookingNumber;
    if (!isTied && isAllowed[next] === 1) moves.push(next, seconds);
  }
  for (const { to, seconds, anchor } of hooks[hookingNumber] as readonly Hook[]) {
    const next = spotNumber * count + to;
    if (isAllowed[next] === 1 && isWithinTouch(index, spot, anchor)) moves.push(next, seconds);
  }
  return moves;
}
