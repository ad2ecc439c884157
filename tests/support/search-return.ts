// The way home of one person, searched from one state at a time, slow and obvious: all states in a list,
// times made shorter until nothing changes. It shares no code with `machines/reach-back`.

import type { Procedure } from "../../machines/procedure/procedure.ts";

/** Where somebody is, where the arm under them is, and where each of their tethers is hooked. */
export type SearchState = {
  readonly site: string;
  readonly armAt: string | null;
  readonly hooked: readonly (string | null)[];
};

/** What a return costs besides paths. */
export type SearchCosts = {
  readonly hook: number;
  readonly unhook: number;
  readonly stepOver: number;
  readonly arm: number;
};

/** Least seconds from a state to one of which `isHome` is true; Infinity if there is no way. */
export function searchReturn(
  procedure: Procedure,
  wearer: string,
  start: SearchState,
  { costs, isHome }: { costs: SearchCosts; isHome: (state: SearchState) => boolean },
): number {
  const best = new Map([[JSON.stringify(start), 0]]);
  const open = [start];
  let least = Infinity;
  for (let state = open.shift(); state !== undefined; state = open.shift()) {
    const at = best.get(JSON.stringify(state)) ?? 0;
    if (isHome(state)) least = Math.min(least, at);
    for (const [next, seconds] of movesFrom(procedure, wearer, state, costs)) {
      if (!mayBe(procedure, wearer, next)) continue;
      const key = JSON.stringify(next);
      if (at + seconds < (best.get(key) ?? Infinity)) {
        best.set(key, at + seconds);
        open.push(next);
      }
    }
  }
  return least;
}

/** Whether somebody may be so: held outside, and within the length of every tether that is hooked. */
export function mayBe(procedure: Procedure, wearer: string, state: SearchState): boolean {
  const worn = procedure.tethers.filter((tether) => tether.wornBy === wearer);
  const isHatch = procedure.sites.find((site) => site.id === state.site)?.sort === "hatch";
  if (!isHatch && state.hooked.every((anchor) => anchor === null)) return false;
  return state.hooked.every((anchor, place) => {
    if (anchor === null) return true;
    const arm = procedure.arms.find(({ tip }) => tip === anchor);
    if (arm) return state.site === arm.tip || arm.reaches.some((site) => site === state.site);
    const metres = metresBetween(procedure, anchor, state.armAt ?? state.site);
    return metres <= (worn[place]?.lengthMetres ?? 0);
  });
}

function movesFrom(
  procedure: Procedure,
  wearer: string,
  state: SearchState,
  costs: SearchCosts,
): readonly (readonly [SearchState, number])[] {
  const moves: [SearchState, number][] = [];
  const { site, armAt, hooked } = state;
  for (const path of procedure.paths) {
    if (armAt !== null) break;
    const seconds = path.duration.maxSeconds;
    if (path.from === site) moves.push([{ ...state, site: path.to }, seconds]);
    if (path.to === site) moves.push([{ ...state, site: path.from }, seconds]);
  }
  for (const arm of procedure.arms.filter(({ tip }) => tip === site)) {
    if (armAt !== null) moves.push([{ ...state, site: armAt, armAt: null }, costs.stepOver]);
    const isFree = hooked.every((anchor) => anchor === null || anchor === arm.tip);
    const others = arm.reaches.filter((other) => other !== armAt);
    if (isFree) for (const other of others) moves.push([{ ...state, armAt: other }, costs.arm]);
  }
  const within = (anchor: string) =>
    anchor === site ||
    anchor === armAt ||
    procedure.arms.some((arm) => arm.tip === anchor && arm.reaches.some((other) => other === site));
  const worn = procedure.tethers.filter((tether) => tether.wornBy === wearer);
  for (const [place, tether] of worn.entries()) {
    const swap = (anchor: string | null) =>
      hooked.map((a, other) => (other === place ? anchor : a));
    const anchor = hooked[place] ?? null;
    if (anchor !== null && within(anchor)) {
      moves.push([{ ...state, hooked: swap(null) }, costs.unhook]);
    }
    if (anchor !== null) continue;
    for (const target of tether.anchorSites.filter(within)) {
      moves.push([{ ...state, hooked: swap(target) }, costs.hook]);
    }
  }
  return moves;
}

function metresBetween(procedure: Procedure, from: string, to: string): number {
  const metres = new Map<string, number>([[from, 0]]);
  const ways = procedure.paths.flatMap(({ from: a, to: b, lengthMetres }) => [
    { a, b, lengthMetres },
    { a: b, b: a, lengthMetres },
  ]);
  for (const _ of procedure.sites) {
    for (const { a, b, lengthMetres } of ways) {
      const total = (metres.get(a) ?? Infinity) + lengthMetres;
      if (total < (metres.get(b) ?? Infinity)) metres.set(b, total);
    }
  }
  return metres.get(to) ?? Infinity;
}
