// Random networks with uncertainty, from a source of random numbers.

import type { SeededRandom } from "../../machines/base/seeded-random.ts";
import type { Bound } from "../../machines/time/simple-network.ts";
import type { Contingent, UncertainNetwork } from "../../machines/time/uncertain-network.ts";

/** What a random network is made of; whole numbers, seconds. */
export type NetworkWishes = {
  readonly points: number;
  readonly contingents: number;
  readonly bounds: number;
  readonly secondsMax: number;
};

/**
 * A small network without shape: any points are bound to any others. About half of them can be
 * controlled at 4 to 7 points.
 */
export function anUncertainNetwork(random: SeededRandom, wishes: NetworkWishes): UncertainNetwork {
  const { points, secondsMax } = wishes;
  const contingents: Contingent[] = [];
  const ends = shuffled(random, points).slice(0, wishes.contingents);
  for (const end of ends) {
    const activation = other(random, points, end);
    if (activates(contingents, end, activation)) continue;
    const leastSeconds = random.nextBelow(Math.ceil(secondsMax / 2) + 1);
    const mostSeconds = leastSeconds + random.nextBelow(secondsMax);
    contingents.push({ activation, end, leastSeconds, mostSeconds });
  }
  const bounds: Bound[] = [];
  for (let count = 0; count < wishes.bounds; count += 1) {
    const from = random.nextBelow(points);
    const to = other(random, points, from);
    bounds.push({
      from,
      to,
      seconds: random.nextBelow(2 * secondsMax) - Math.floor(secondsMax / 2),
    });
  }
  return { points, bounds, contingents };
}

/**
 * A network with the shape of a plan: times are drawn for all points, and bounds are what these times
 * keep, with some room. Pairs of neighbouring numbers are the contingent spans.
 *
 * @param roomMax the most room that a bound leaves, seconds: less makes fewer networks controllable
 */
export function aPlannedNetwork(
  random: SeededRandom,
  wishes: NetworkWishes & { readonly roomMax: number },
): UncertainNetwork {
  const { points, secondsMax, roomMax } = wishes;
  const horizon = points * 4;
  const times = Array.from({ length: points }, () => random.nextBelow(horizon));
  times[0] = 0;
  const contingents: Contingent[] = [];
  for (let k = 0; k < wishes.contingents; k += 1) {
    const activation = 2 * k + 1;
    const leastSeconds = 1 + random.nextBelow(secondsMax);
    const mostSeconds = leastSeconds + 1 + random.nextBelow(secondsMax);
    contingents.push({ activation, end: activation + 1, leastSeconds, mostSeconds });
    times[activation + 1] =
      (times[activation] ?? 0) + leastSeconds + random.nextBelow(mostSeconds - leastSeconds + 1);
  }
  const bounds: Bound[] = [];
  for (let point = 1; point < points; point += 1) bounds.push({ from: point, to: 0, seconds: 0 });
  for (let count = 0; count < wishes.bounds; count += 1) {
    const from = random.nextBelow(points);
    const to = other(random, points, from);
    const seconds = (times[to] ?? 0) - (times[from] ?? 0) + random.nextBelow(roomMax + 1);
    bounds.push({ from, to, seconds });
  }
  return { points, bounds, contingents };
}

function activates(contingents: readonly Contingent[], from: number, to: number): boolean {
  if (from === to) return true;
  return contingents
    .filter(({ activation }) => activation === from)
    .some(({ end }) => activates(contingents, end, to));
}

function other(random: SeededRandom, points: number, not: number): number {
  const drawn = random.nextBelow(points - 1);
  return drawn >= not ? drawn + 1 : drawn;
}

function shuffled(random: SeededRandom, count: number): number[] {
  const numbers = Array.from({ length: count }, (_, number) => number);
  for (let at = count - 1; at > 0; at -= 1) {
    const from = random.nextBelow(at + 1);
    [numbers[at], numbers[from]] = [numbers[from] ?? 0, numbers[at] ?? 0];
  }
  return numbers;
}
