// Corrected times by hand: wall clock plus offset, worked out in the titles and comments.

import { expect, test } from "vitest";
import { correctedTimes, timeAfter } from "../../../../machines/record/corrected-time.ts";
import type { Entry, EntryBody } from "../../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";

const note: EntryBody = { kind: "note.added", text: "", step: null, oddity: false };
const sampled = (offsetMs: number, roundTripMs = 20): EntryBody => ({
  kind: "clock.sampled",
  offsetMs,
  roundTripMs,
});
const jumped = (byMs: number): EntryBody => ({ kind: "clock.jumped", byMs });

function check(
  taps: readonly (readonly [number, EntryBody])[],
  expected: readonly number[],
  errors?: readonly number[] | null,
): void {
  const { timesMs, errorsMs } = correctedTimes(entriesOf(taps));
  expect(timesMs).toEqual(expected);
  if (errors !== undefined) expect(errorsMs).toEqual(errors);
}

function entriesOf(taps: readonly (readonly [number, EntryBody])[]): Entry[] {
  return taps.map(([wallMs, body], place) => ({
    run: "run-1" as RunId,
    device: "tablet" as DeviceId,
    seq: place + 1,
    prev: null,
    wallMs,
    seen: {},
    position: null,
    body,
  }));
}

test("[corrected-time 3] without a sample the wall clock stands", () => {
  check([], []);
  check(
    [
      [100, note],
      [200, note],
    ],
    [100, 200],
  );
});

test("[corrected-time 1] between two samples the offset is interpolated over the wall clock", () => {
  // From 1000 with 10 to 2000 with 30: at 1250 it is 15, at 1333 it is 16.66, rounded with the time.
  check(
    [
      [1000, sampled(10)],
      [1250, note],
      [1333, note],
      [2000, sampled(30)],
    ],
    [1010, 1265, 1350, 2030],
  );
});

test("[corrected-time 1] outside the samples the offset is that of the nearest", () => {
  check(
    [
      [500, note],
      [1000, sampled(10)],
      [2000, sampled(30)],
      [9000, note],
    ],
    [510, 1010, 2030, 9030],
  );
});

test("[corrected-time 4] a wall clock that was set unnoticed is kept between the two samples", () => {
  check(
    [
      [1000, sampled(10)],
      [400, note],
      [5000, note],
      [2000, sampled(30)],
    ],
    [1010, 1010, 2030, 2030],
  );
});

test("[corrected-time 2] after a jump without a sample the offset is less by the jump", () => {
  // The clock is set forward by an hour: what it shows then is an hour more than before.
  const hourMs = 3_600_000;
  check(
    [
      [1000, sampled(50)],
      [hourMs + 2000, jumped(hourMs)],
      [hourMs + 3000, note],
    ],
    [1050, 2050, 3050],
  );
});

test("[corrected-time 2] before the first sample, over a jump, the offset is more by the jump", () => {
  check(
    [
      [1000, note],
      [11_000, jumped(9000)],
      [12_000, sampled(-9000)],
    ],
    [1000, 2000, 3000],
  );
});

test("[corrected-time 2] two jumps before the first sample add up", () => {
  check(
    [
      [0, note],
      [1010, jumped(1000)],
      [1520, jumped(500)],
      [1530, sampled(-1500)],
    ],
    [0, 10, 20, 30],
  );
});

test("[corrected-time 3] without any sample a jump is still evened out", () => {
  check(
    [
      [1000, note],
      [500, jumped(-1500)],
      [600, note],
    ],
    [1000, 2000, 2100],
  );
});

test("[corrected-time 1] samples of one segment do not reach into another", () => {
  check(
    [
      [1000, sampled(10)],
      [1900, note],
      [5000, jumped(3000)],
      [6000, sampled(-2900)],
      [6100, note],
    ],
    [1010, 1910, 2100, 3100, 3200],
  );
});

test("[corrected-time 4] a clock set two hours ahead unnoticed is put right by the next sample", () => {
  // The jump is found, and noted, only when the hub is met again at 5000 by its clock.
  const hoursMs = 7_200_000;
  check(
    [
      [1000, sampled(0)],
      [hoursMs + 2000, note],
      [hoursMs + 4000, note],
      [hoursMs + 5000, jumped(hoursMs)],
      [hoursMs + 5000, sampled(-hoursMs)],
      [hoursMs + 6000, note],
    ],
    [1000, 5000, 5000, 5000, 5000, 6000],
  );
});

test("[corrected-time 3] the error of a clock that was never checked is not known", () => {
  check([[100, note]], [100], null);
});

test("[corrected-time 5] half the round trip at a sample, between two as far as the way is gone", () => {
  // From 20 to 60 over 1000 ms: at a quarter 30; a tenth of a millisecond is rounded up.
  check(
    [
      [1000, sampled(0, 40)],
      [1250, note],
      [1251, note],
      [2000, sampled(0, 120)],
    ],
    [1000, 1250, 1251, 2000],
    [20, 30, 31, 60],
  );
});

test("[corrected-time 5] outside the samples it grows by a hundred parts in a million", () => {
  // 10 ms, and 0.1 ms a second: after 100 s 20 ms, after six hours 2170 ms, before it alike.
  check(
    [
      [900_000, note],
      [1_000_000, sampled(0)],
      [1_100_000, note],
      [22_600_000, note],
    ],
    [900_000, 1_000_000, 1_100_000, 22_600_000],
    [20, 10, 20, 2170],
  );
});

test("[corrected-time 5] a time that was moved may be off by as much, up to the samples' span", () => {
  // 410 was moved by 600 to 1010, where the samples' errors are 10: 610. 5030 was moved by 3000,
  // but lies between 1010 and 2030, give or take 10.
  check(
    [
      [1000, sampled(10)],
      [400, note],
      [5000, note],
      [2000, sampled(30)],
    ],
    [1010, 1010, 2030, 2030],
    [10, 610, 1030, 10],
  );
});

test("[corrected-time 1] times run on as they would be worked out anew", () => {
  const taps: readonly (readonly [number, EntryBody])[] = [
    [1000, sampled(10)],
    [5000, jumped(3000)],
    [9_000_000, note],
    [500, note],
  ];
  const entries = entriesOf(taps);
  const { timesMs, errorsMs } = correctedTimes(entries);
  const { tail } = correctedTimes(entries.slice(0, 2));
  for (const place of [2, 3]) {
    const { atMs, errorMs } = timeAfter(tail, entries[place]?.wallMs ?? 0);
    expect([atMs, errorMs]).toEqual([timesMs[place], errorsMs?.[place]]);
  }
});
