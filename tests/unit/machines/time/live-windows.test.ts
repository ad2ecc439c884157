// Acting by the windows against spans that are drawn, not told: nature may be mean, so spans are drawn at
// their ends as often as between them.

import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../../../machines/base/seeded-random.ts";
import { checkControllability } from "../../../../machines/time/controllability.ts";
import { startWindowsNow } from "../../../../machines/time/live-windows.ts";
import type { StartWindow } from "../../../../machines/time/live-windows.ts";
import { networkFromNow } from "../../../../machines/time/network-from-now.ts";
import type { UncertainNetwork } from "../../../../machines/time/uncertain-network.ts";
import { aPlannedNetwork, anUncertainNetwork } from "../../../support/an-uncertain-network.ts";

const styles = ["early", "late", "any"] as const;
type Style = (typeof styles)[number] | "reckless";

test("[windows 1] acting inside free windows keeps every bound, whatever the spans", () => {
  let runs = 0;
  let acts = 0;
  for (const { network, seed } of controllableNetworks(1, 300)) {
    for (const style of styles) {
      const random = createSeededRandom(seed);
      acts += actThrough(network, random, style, `seed ${seed}, ${style}`);
      runs += 1;
    }
  }
  expect(runs).toBeGreaterThan(200);
  expect(acts).toBeGreaterThan(700);
});

test("[windows 1] who does not wait for what a point waits for breaks bounds", () => {
  let broken = 0;
  for (const { network, seed } of controllableNetworks(1, 100)) {
    try {
      actThrough(network, createSeededRandom(seed), "reckless", `seed ${seed}`);
    } catch {
      broken += 1;
    }
  }
  expect(broken).toBeGreaterThan(5);
});

test("[windows 2] a second after the end of its window a point comes too late", () => {
  let compared = 0;
  for (const { network, seed } of controllableNetworks(1, 300)) {
    const { windows } = startWindowsNow(network, new Map([[0, 0]]), 0);
    const fromNow = networkFromNow(network, new Map([[0, 0]]), 0);
    for (const { point, toSeconds } of windows ?? []) {
      if (!Number.isFinite(toSeconds)) continue;
      compared += 1;
      const notBefore = (seconds: number) => {
        const bounds = [
          ...fromNow.network.bounds,
          { from: point, to: fromNow.zero, seconds: fromNow.zeroSeconds - seconds },
        ];
        return checkControllability({ ...fromNow.network, bounds }).controllable;
      };
      expect(notBefore(toSeconds + 1), `seed ${seed}, point ${point}`).toBe(false);
    }
  }
  expect(compared).toBeGreaterThan(200);
});

test("[windows 3] who may stop waiting for a span is told from when on", () => {
  // Point 2 comes at most 3 s before or any time after the end of 0 -> 1, which takes 4 to 10 s.
  const network = {
    points: 3,
    bounds: [{ from: 2, to: 1, seconds: 3 }],
    contingents: [{ activation: 0, end: 1, leastSeconds: 4, mostSeconds: 10 }],
  };
  const at = (now: number) => startWindowsNow(network, new Map([[0, 0]]), now).windows?.[0];
  expect(at(2)).toMatchObject({ point: 2, isFree: false });
  expect(at(2)?.waits).toContainEqual({ contingent: 0, untilSeconds: 7 });
  expect(at(7)?.isFree).toBe(true);
  const ended = startWindowsNow(
    network,
    new Map([
      [0, 0],
      [1, 5],
    ]),
    5,
  ).windows?.[0];
  expect(ended).toMatchObject({ isFree: true, waits: [] });
});

test("[windows 3] who follows a span waits for its very end", () => {
  const network = {
    points: 3,
    bounds: [{ from: 2, to: 1, seconds: 0 }],
    contingents: [{ activation: 0, end: 1, leastSeconds: 4, mostSeconds: 10 }],
  };
  const at = (now: number) => startWindowsNow(network, new Map([[0, 0]]), now).windows?.[0];
  for (const now of [0, 4, 9]) expect(at(now)?.isFree).toBe(false);
  expect(at(5)?.waits).toContainEqual({ contingent: 0, untilSeconds: Infinity });
});

test("[windows 4] where nothing keeps every bound any more, the circle is told", () => {
  const network = {
    points: 3,
    bounds: [
      { from: 0, to: 2, seconds: 12 },
      { from: 2, to: 1, seconds: 0 },
    ],
    contingents: [{ activation: 0, end: 1, leastSeconds: 4, mostSeconds: 10 }],
  };
  expect(startWindowsNow(network, new Map([[0, 0]]), 9).circle).toBeNull();
  const late = startWindowsNow(network, new Map([[0, 0]]), 13);
  expect(late.windows).toBeNull();
  expect(late.circle?.seconds).toBeLessThan(0);
  expect(late.overdueContingents).toEqual([0]);
});

test("[windows 5] the bounds that end a window are named", () => {
  // 1 starts a span of 5 to 10 s to 2, by 40 at the latest; 3 has a bound of its own.
  const network = {
    points: 4,
    bounds: [
      { from: 0, to: 3, seconds: 99 },
      { from: 0, to: 2, seconds: 40 },
    ],
    contingents: [{ activation: 1, end: 2, leastSeconds: 5, mostSeconds: 10 }],
  };
  const { windows } = startWindowsNow(network, new Map([[0, 0]]), 0);
  expect(
    windows?.map(({ point, toSeconds, lastBounds }) => [point, toSeconds, lastBounds]),
  ).toEqual([
    [1, 30, [1]],
    [3, 99, [0]],
  ]);
});

test("[from-now 1] [from-now 2] [from-now 3] [from-now 4] what has happened is fixed", () => {
  const network = {
    points: 6,
    bounds: [
      { from: 0, to: 1, seconds: 3 },
      { from: 0, to: 5, seconds: 50 },
    ],
    contingents: [
      { activation: 0, end: 2, leastSeconds: 4, mostSeconds: 10 },
      { activation: 3, end: 4, leastSeconds: 1, mostSeconds: 2 },
      { activation: 1, end: 5, leastSeconds: 1, mostSeconds: 2 },
    ],
  };
  const happened = new Map([
    [0, 0],
    [1, 5],
    [4, 6],
  ]);
  const fromNow = networkFromNow(network, happened, 8);
  expect(fromNow.brokenBounds).toEqual([0]);
  expect(fromNow.overdueContingents).toEqual([2]);
  expect(fromNow.placesOfContingents).toEqual([0, 2]);
  expect(fromNow.network.contingents).toEqual([
    { activation: fromNow.now, end: 2, leastSeconds: 0, mostSeconds: 2 },
    { activation: fromNow.now, end: 5, leastSeconds: 0, mostSeconds: 0 },
  ]);
  const own = fromNow.network.bounds.filter((_, at) => (fromNow.placesOfBounds[at] ?? -1) >= 0);
  expect(own).toEqual([{ from: 0, to: 5, seconds: 50 }]);
  const fixed = (point: number) =>
    (fromNow.network.bounds.find(({ from, to }) => from === fromNow.zero && to === point)
      ?.seconds ?? NaN) + fromNow.zeroSeconds;
  // Point 3 began, for all that is known, when its span ended.
  expect([0, 1, 3, 4, fromNow.now].map(fixed)).toEqual([0, 5, 6, 6, 8]);
  expect(fromNow.network.bounds).toContainEqual({ from: 2, to: fromNow.now, seconds: 0 });
});

function* controllableNetworks(from: number, to: number) {
  for (let seed = from; seed <= to; seed += 1) {
    const random = createSeededRandom(seed);
    const wishes = { points: 7, contingents: 3, bounds: 9, secondsMax: 8, roomMax: 18 };
    const drawn = (seed % 3 === 0 ? anUncertainNetwork : aPlannedNetwork)(random, wishes);
    const starts = Array.from({ length: drawn.points - 1 }, (_, at) => ({
      from: at + 1,
      to: 0,
      seconds: 0,
    }));
    // Point 0 happens first, by itself.
    const contingents = drawn.contingents.filter(({ end }) => end !== 0);
    const network = { ...drawn, contingents, bounds: [...drawn.bounds, ...starts] };
    if (checkControllability(network).controllable) yield { network, seed };
  }
}

// Lets everything happen. Returns how many points were let happen; expects every bound to be kept.
function actThrough(
  network: UncertainNetwork,
  random: SeededRandom,
  style: Style,
  told: string,
): number {
  const happened = new Map([[0, 0]]);
  const endsAt = new Map<number, number>();
  let now = 0;
  let acts = 0;
  for (let turn = 0; happened.size < network.points; turn += 1) {
    expect(turn, told).toBeLessThan(300);
    for (const { activation, end, leastSeconds, mostSeconds } of network.contingents) {
      const began = happened.get(activation);
      if (began === undefined || happened.has(end) || endsAt.has(end)) continue;
      endsAt.set(end, began + drawSpan(random, leastSeconds, mostSeconds));
    }
    // What ends now is seen before anything is decided.
    const ended = [...endsAt].filter(([end, at]) => at <= now && !happened.has(end));
    for (const [end] of ended) happened.set(end, now);
    if (ended.length > 0) continue;
    const { windows } = startWindowsNow(network, happened, now);
    if (windows === null) throw new Error(`${told}: nothing keeps every bound at ${now}`);
    const overdue = windows.filter(({ toSeconds }) => toSeconds < now - 1e-6);
    expect(overdue, told).toEqual([]);
    const chosen = choose(windows, random, style, now);
    if (chosen !== undefined) {
      happened.set(chosen.point, now);
      acts += 1;
      continue;
    }
    now = nextMoment(windows, [...endsAt.values()], now, random);
  }
  for (const { from, to, seconds } of network.bounds) {
    const span = (happened.get(to) ?? 0) - (happened.get(from) ?? 0);
    expect(span, `${told}, ${from} to ${to}`).toBeLessThanOrEqual(seconds + 1e-6);
  }
  return acts;
}

function drawSpan(random: SeededRandom, least: number, most: number): number {
  const drawn = random.nextBelow(3);
  return drawn === 0 ? least : drawn === 1 ? most : least + random.nextBelow(most - least + 1);
}

function choose(
  windows: readonly StartWindow[],
  random: SeededRandom,
  style: Style,
  now: number,
): StartWindow | undefined {
  const isOpen = ({ fromSeconds }: StartWindow) => fromSeconds <= now + 1e-6;
  const free = windows.filter((window) => (style === "reckless" ? isOpen(window) : window.isFree));
  const pressing = free.filter(({ toSeconds }) => toSeconds <= now + 1e-6);
  if (pressing.length > 0) return pressing[0];
  if (style !== "late" && style !== "any") return free[random.nextBelow(Math.max(1, free.length))];
  const isLazy = style === "late" ? random.nextBelow(20) > 0 : random.nextBelow(2) > 0;
  return isLazy ? undefined : free[0];
}

// The next second at which something ends, may be, must be, or need not be waited for any more.
function nextMoment(
  windows: readonly StartWindow[],
  ends: readonly number[],
  now: number,
  random: SeededRandom,
): number {
  const moments = [
    ...ends,
    ...windows.flatMap(({ fromSeconds, toSeconds, waits }) => [
      fromSeconds,
      toSeconds,
      ...waits.map(({ untilSeconds }) => untilSeconds),
    ]),
    now + 1 + random.nextBelow(5),
  ];
  return Math.min(...moments.filter((moment) => moment > now + 1e-9));
}
