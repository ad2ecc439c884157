// How hard a suited person works over the plan: a rate that is constant within each step and between
// steps.
//
// [work-rate 1] A step has its sort's rate, else the mean; between steps one waits.
// [work-rate 2] The peak over a window is the greatest mean over any stretch of that length; of a plan
//   that is shorter, its mean.

import { toSi } from "../units/factors.ts";
import type { PositionId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Suit } from "../procedure/procedure.ts";
import type { Step } from "../procedure/step.ts";
import type { Timetable } from "../time/earliest-times.ts";

/** A stretch at one rate; seconds from the run's start. */
export type WorkStretch = {
  readonly fromSeconds: number;
  readonly toSeconds: number;
  readonly watts: number;
};

/** A person's rate from the run's start to the end of the lane's last step, without holes. */
export type WorkRate = readonly WorkStretch[];

/** The rate of a suited position by a timetable. Errors: none; steps without times are left out. */
export function workRateOf(
  index: ProcedureIndex,
  position: PositionId,
  timetable: Timetable,
): WorkRate {
  const suit = index.positionsById.get(position)?.suit ?? null;
  if (suit === null) return [];
  const stretches: WorkStretch[] = [];
  let until = 0;
  const add = (toSeconds: number, watts: number) => {
    if (toSeconds > until) stretches.push({ fromSeconds: until, toSeconds, watts });
    until = Math.max(until, toSeconds);
  };
  for (const step of index.stepsByLane.get(position) ?? []) {
    const times = timetable.byStep.get(step.id);
    if (times === undefined) continue;
    add(times.startSeconds, wattsOf(suit, "wait"));
    add(times.endSeconds, wattsOf(suit, step.sort));
  }
  return stretches;
}

/** Joules up to a time. Errors: none. */
export function joulesUntil(rate: WorkRate, seconds: number): number {
  let joules = 0;
  for (const { fromSeconds, toSeconds, watts } of rate) {
    if (fromSeconds >= seconds) break;
    joules += watts * (Math.min(toSeconds, seconds) - fromSeconds);
  }
  return joules;
}

/** The greatest mean over a window of so many seconds, and when it begins; see [work-rate 2]. Errors: none. */
export function peakOver(
  rate: WorkRate,
  windowSeconds: number,
): { readonly watts: number; readonly fromSeconds: number } {
  const end = rate.at(-1)?.toSeconds ?? 0;
  if (end === 0) return { watts: 0, fromSeconds: 0 };
  if (end <= windowSeconds) return { watts: joulesUntil(rate, end) / end, fromSeconds: 0 };
  const until = createJoulesUntil(rate);
  let best = { watts: -Infinity, fromSeconds: 0 };
  // The mean changes its slope only where an edge of the window meets an edge of a stretch.
  for (const { fromSeconds, toSeconds } of rate) {
    for (const start of [fromSeconds, toSeconds - windowSeconds]) {
      if (start < 0 || start + windowSeconds > end) continue;
      const watts = (until(start + windowSeconds) - until(start)) / windowSeconds;
      if (watts > best.watts) best = { watts, fromSeconds: start };
    }
  }
  return best;
}

function wattsOf({ metabolicRate, metabolicRateBySort }: Suit, sort: Step["sort"]): number {
  return toSi(metabolicRateBySort[sort] ?? metabolicRate);
}

function createJoulesUntil(rate: WorkRate): (seconds: number) => number {
  const sums = [0];
  for (const { fromSeconds, toSeconds, watts } of rate) {
    sums.push((sums.at(-1) as number) + watts * (toSeconds - fromSeconds));
  }
  return (seconds) => {
    let [low, high] = [0, rate.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((rate[middle] as WorkStretch).toSeconds <= seconds) low = middle + 1;
      else high = middle;
    }
    const within = rate[low];
    const more = within === undefined ? 0 : within.watts * (seconds - within.fromSeconds);
    return (sums[low] as number) + Math.max(0, more);
  };
}
