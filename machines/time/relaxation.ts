// Relaxations: the smallest changes after which a network can be controlled.
//
// Definition: to *relax* a bound is to allow more seconds; to relax a contingent span is to make its most
//   less or its least more.
// [relaxation 1] Every relaxation that is offered has been tried: with it the network can be controlled.
// [relaxation 2] No smaller change of that one bound or time would do, to a hundredth of a second. A change
//   that could not fill the first circle up is not tried; rarely it would have taken the circle away.
// [relaxation 3] Relaxations together come to less in all than the best single one, and to the least that
//   the circles found call for; where they would not, none are offered. (Changes can take circles away as
//   well as fill them up, so a cheaper set may rarely be missed.)
// [relaxation 4] A span's least is never raised above its most.

import { maximise } from "../base/linear-program.ts";
import type { UncertainCircle } from "./circle-of-edges.ts";
import { checkControllability, isControllable } from "./controllability.ts";
import type { UncertainNetwork } from "./uncertain-network.ts";

/** What can be relaxed: a bound, or a time of a contingent span, by its place in the list. */
export type Relaxable =
  | { readonly sort: "bound"; readonly place: number }
  | { readonly sort: "least" | "most"; readonly place: number };

/** One change; seconds above nothing. */
export type Relaxation = { readonly what: Relaxable; readonly bySeconds: number };

/** Which things may be changed at all: an order of steps, say, may not. */
export type MayRelax = (what: Relaxable) => boolean;

/** What mends a network. */
export type Relaxations = {
  /** Single changes, each of which alone mends it, the smallest first. */
  readonly singles: readonly Relaxation[];
  /** Changes that mend it together at less in all; null: none were found. */
  readonly together: readonly Relaxation[] | null;
};

/**
 * The smallest changes after which a network can be controlled.
 *
 * @param circle what `checkControllability` answered, by stopping walks
 * Errors: none; both empty if no change that is allowed mends it.
 * Source: for a single change each circle asks for so much; that is tried, and what the next circle asks
 *   is added (Newton's method on a piecewise linear function; Dinkelbach 1967). As a change can also take a
 *   circle away, halving looks for what less would do. For changes together the least total that serves all
 *   circles found so far is a linear program, and circles are added until none is left (cutting planes,
 *   Kelley 1960).
 */
export function findRelaxations(
  network: UncertainNetwork,
  circle: UncertainCircle,
  mayRelax: MayRelax,
): Relaxations {
  const singles = relaxablesOf(circle)
    .filter(mayRelax)
    .map((what) => relaxAlone(network, circle, what))
    .filter((relaxation) => relaxation !== null)
    .sort((a, b) => a.bySeconds - b.bySeconds);
  const lessThan = (singles[0]?.bySeconds ?? Infinity) - preciseSeconds;
  return { singles, together: relaxTogether(network, circle, { mayRelax, lessThan }) };
}

/** The network with these changes. Errors: none. */
export function relaxNetwork(
  network: UncertainNetwork,
  relaxations: readonly Relaxation[],
): UncertainNetwork {
  const bounds = [...network.bounds];
  const contingents = [...network.contingents];
  for (const { what, bySeconds } of relaxations) {
    const bound = bounds[what.place];
    const span = contingents[what.place];
    if (what.sort === "bound" && bound !== undefined) {
      bounds[what.place] = { ...bound, seconds: bound.seconds + bySeconds };
    } else if (what.sort === "least" && span !== undefined) {
      const leastSeconds = Math.min(span.leastSeconds + bySeconds, span.mostSeconds);
      contingents[what.place] = { ...span, leastSeconds };
    } else if (what.sort === "most" && span !== undefined) {
      const mostSeconds = Math.max(span.mostSeconds - bySeconds, span.leastSeconds);
      contingents[what.place] = { ...span, mostSeconds };
    }
  }
  return { points: network.points, bounds, contingents };
}

const roundsMax = 60;
const preciseSeconds = 0.01;
// Among more things than this no changes together are looked for: it would take too long.
const togetherMax = 300;

function relaxAlone(
  network: UncertainNetwork,
  firstCircle: UncertainCircle,
  what: Relaxable,
): Relaxation | null {
  const mostPossible = roomOf(network, what);
  const after = (bySeconds: number) => relaxNetwork(network, [{ what, bySeconds }]);
  let tooLittle = 0;
  let circle = firstCircle;
  for (let round = 0; round < roundsMax; round += 1) {
    const gain = gainOf(circle, what);
    // A circle that gains nothing may still go away when others do: all that is possible is tried.
    const asked = gain > 0 ? tooLittle - circle.seconds / gain : Infinity;
    if (gain > 0 && asked > mostPossible) return null;
    const bySeconds = Math.min(asked, mostPossible);
    const { circle: next } = checkControllability(after(bySeconds), "stopping");
    if (next === null) {
      const isEnough = (trial: number) => isControllable(after(trial), "stopping");
      return { what, bySeconds: leastEnough({ tooLittle, enough: bySeconds, isEnough }) };
    }
    if (bySeconds === mostPossible) return null;
    tooLittle = bySeconds;
    circle = next;
  }
  return null;
}

type Range = {
  readonly tooLittle: number;
  readonly enough: number;
  readonly isEnough: (seconds: number) => boolean;
};

// Nearly always nothing less would do, which one more trial shows.
function leastEnough({ tooLittle, enough, isEnough }: Range): number {
  let low = tooLittle;
  let high = enough;
  let trial = high - preciseSeconds;
  while (high - low > preciseSeconds) {
    if (isEnough(trial)) high = trial;
    else low = trial;
    trial = (low + high) / 2;
  }
  return high;
}

function relaxTogether(
  network: UncertainNetwork,
  circle: UncertainCircle,
  { mayRelax, lessThan }: { readonly mayRelax: MayRelax; readonly lessThan: number },
): readonly Relaxation[] | null {
  const circles = [circle];
  for (let round = 0; round < roundsMax; round += 1) {
    const newest = circles.at(-1) ?? circle;
    const whats = relaxablesOf(newest).filter(mayRelax);
    const gainMost = Math.max(0, ...whats.map((what) => gainOf(newest, what)));
    // What the newest circle alone asks for at the least; most often that is no less than a single change.
    if (-newest.seconds / gainMost >= lessThan || whats.length > togetherMax) return null;
    const relaxations = coverCircles(network, circles, mayRelax);
    if (relaxations === null) return null;
    // Further circles can only ask for more.
    const total = relaxations.reduce((sum, { bySeconds }) => sum + bySeconds, 0);
    if (total >= lessThan) return null;
    const verdict = checkControllability(relaxNetwork(network, relaxations), "stopping");
    if (verdict.controllable) return relaxations;
    circles.push(verdict.circle);
  }
  return null;
}

// The dual of covering: circles are the columns, what can be changed the rows.
function coverCircles(
  network: UncertainNetwork,
  circles: readonly UncertainCircle[],
  mayRelax: MayRelax,
): readonly Relaxation[] | null {
  const keys = new Map(
    circles.flatMap((circle) =>
      relaxablesOf(circle)
        .filter(mayRelax)
        .map((what) => [`${what.sort} ${what.place}`, what] as const),
    ),
  );
  const whats = [...keys.values()];
  // A span's least and most cannot pass each other: together they change by its rest at most.
  const spans = [
    ...new Set(whats.filter(({ sort }) => sort !== "bound").map(({ place }) => place)),
  ];
  const rests = spans.map((place) => roomOf(network, { sort: "most", place }));
  const solution = maximise({
    gains: [...circles.map(({ seconds }) => -seconds), ...rests.map((rest) => -rest)],
    rows: whats.map((what) => [
      ...circles.map((circle) => gainOf(circle, what)),
      ...spans.map((span) => (isOfSpan(what, span) ? -1 : 0)),
    ]),
    limits: whats.map(() => 1),
  });
  if (solution === null) return null;
  return whats
    .map((what, place) => ({ what, bySeconds: solution.prices[place] ?? 0 }))
    .filter(({ bySeconds }) => bySeconds > 1e-6);
}

function isOfSpan({ sort, place }: Relaxable, span: number): boolean {
  return sort !== "bound" && place === span;
}

function relaxablesOf(circle: UncertainCircle): Relaxable[] {
  const { timesByBound, leastsByContingent, mostsByContingent } = circle;
  const all: Relaxable[] = [
    ...[...timesByBound.keys()].map((place) => ({ sort: "bound" as const, place })),
    ...[...leastsByContingent.keys()].map((place) => ({ sort: "least" as const, place })),
    ...[...mostsByContingent.keys()].map((place) => ({ sort: "most" as const, place })),
  ];
  return all.filter((what) => gainOf(circle, what) > 0);
}

// By how many seconds the circle gains for each second of change.
function gainOf(circle: UncertainCircle, { sort, place }: Relaxable): number {
  if (sort === "bound") return circle.timesByBound.get(place) ?? 0;
  if (sort === "least") return circle.leastsByContingent.get(place) ?? 0;
  return -(circle.mostsByContingent.get(place) ?? 0);
}

// More than this is never needed: a bound of all seconds together binds nothing.
function roomOf({ bounds, contingents }: UncertainNetwork, { sort, place }: Relaxable): number {
  if (sort === "bound") {
    const allBounds = bounds.reduce((sum, { seconds }) => sum + Math.abs(seconds), 0);
    return contingents.reduce((sum, { mostSeconds }) => sum + mostSeconds, allBounds);
  }
  const { leastSeconds = 0, mostSeconds = 0 } = contingents[place] ?? {};
  return mostSeconds - leastSeconds;
}
