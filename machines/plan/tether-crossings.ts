// Tethers that hold each other: each line passes around the other's anchor.
//
// Definition: two lines *cross* if each runs past the site at which the other is anchored, and on from
//   there. Then neither wearer gets back to the own anchor without passing the other's line.
// [tether-crossings 1] Two lines of two persons are reported if they cross and can be so at once.

import { groupBy } from "../base/group-by.ts";
import type { PositionId, SiteId, TetherId } from "../procedure/ids.ts";
import type { Tether } from "../procedure/procedure.ts";
import { placeOf } from "./finding.ts";
import type { Finding } from "./finding.ts";
import { isBefore } from "./happens-before.ts";
import { idsAt } from "./plan-state.ts";
import type { PlanState } from "./plan-state.ts";
import { siteWords } from "./plan-words.ts";

/** A doubt for each pair of tethers whose lines may cross, at the first place where they do. Errors: none. */
export function findCrossedTethers(state: PlanState): readonly Finding[] {
  const { tethers } = state.index.procedure;
  const strung = tethers.map((tether) => ({ tether, passings: passingsOf(state, tether) }));
  return strung.flatMap((first, place) =>
    strung.slice(place + 1).flatMap((second) => {
      if (first.tether.wornBy === second.tether.wornBy) return [];
      const crossing = findCrossing(state, first.passings, second.passings);
      return crossing === null
        ? []
        : [crossedFinding(state, first.tether, second.tether, crossing)];
    }),
  );
}

/** A stretch in which a line from an anchor runs past a site and on. */
type Passing = {
  readonly anchor: SiteId;
  readonly past: SiteId;
  readonly from: number;
  readonly until: number | null;
};

type Crossing = { readonly first: Passing; readonly second: Passing };

function passingsOf({ lines, order }: PlanState, { id }: Tether): readonly Passing[] {
  const drawn = (lines.get(id) ?? []).filter(
    // Several lines of one step: only the last one outlives it.
    (line, place, all) => line.step !== all[place + 1]?.step,
  );
  const passings: Passing[] = [];
  for (const [place, { step, route }] of drawn.entries()) {
    if (route === null || route.length < 3) continue;
    const until = drawn[place + 1]?.step ?? null;
    const anchor = route[0] as SiteId;
    for (const past of route.slice(1, -1)) passings.push({ anchor, past, from: step, until });
  }
  return passings.length > order.steps.length * 40 ? [] : passings;
}

function findCrossing(
  { order }: PlanState,
  firsts: readonly Passing[],
  seconds: readonly Passing[],
): Crossing | null {
  const byEnds = groupBy(seconds, ({ anchor, past }) => `${past} ${anchor}`);
  const isOver = (a: Passing, b: Passing) =>
    a.until !== null && b.from >= 0 && (a.until === b.from || isBefore(order, a.until, b.from));
  for (const first of firsts) {
    for (const second of byEnds.get(`${first.anchor} ${first.past}`) ?? []) {
      if (!isOver(first, second) && !isOver(second, first)) return { first, second };
    }
  }
  return null;
}

function crossedFinding(
  state: PlanState,
  first: Tether,
  second: Tether,
  crossing: Crossing,
): Finding {
  const { index } = state;
  const positions: readonly PositionId[] = [first.wornBy, second.wornBy];
  const tethers: readonly TetherId[] = [first.id, second.id];
  const [a, b] = [crossing.first.anchor, crossing.second.anchor];
  return {
    kind: "tether-crossed",
    grade: "doubt",
    where: placeOf({
      steps: idsAt(state, [crossing.first.from, crossing.second.from]),
      positions,
      tethers,
      sites: [a, b],
    }),
    says: `${first.name} from ${siteWords(index, a)} may run past ${siteWords(index, b)} while ${second.name} from there runs past ${siteWords(index, a)}: each passes around the other's anchor.`,
    witness: {
      sort: "together",
      entered: idsAt(state, [crossing.first.from, crossing.second.from]),
    },
    mend: { says: "Let one of them swap to another anchor before passing.", edits: [] },
    onlyWith: [],
  };
}
