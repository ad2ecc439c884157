// Corrected times by hand: wall clock plus offset, worked out in the titles and comments.

import { expect, test } from "vitest";
import { correctedTimes } from "../../../../machines/record/corrected-time.ts";
import type { Entry, EntryBody } from "../../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";

const note: EntryBody = { kind: "note.added", text: "", step: null, oddity: false };
const sampled = (offsetMs: number): EntryBody => ({
  kind: "clock.sampled",
  offsetMs,
  roundTripMs: 20,
});
const jumped = (byMs: number): EntryBody => ({ kind: "clock.jumped", byMs });

function check(taps: readonly (readonly [number, EntryBody])[], expected: readonly number[]): void {
  const entries: Entry[] = taps.map(([wallMs, body], place) => ({
    run: "run-1" as RunId,
    device: "tablet" as DeviceId,
    seq: place + 1,
    prev: null,
    wallMs,
    seen: {},
    position: null,
    body,
  }));
  expect(correctedTimes(entries)).toEqual(expected);
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

test("[corrected-time 1] a wall clock that went back unnoticed is kept between the two samples", () => {
  check(
    [
      [1000, sampled(10)],
      [400, note],
      [5000, note],
      [2000, sampled(30)],
    ],
    [1010, 410, 5030, 2030],
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
