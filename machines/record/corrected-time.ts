// Corrected time: when an entry was made, by the hub's clock, and how far off that may be.
//
// Definition: the *offset* of a device is what must be added to its wall clock to get the hub's
//   time.
// Definition: a *segment* is a stretch of a device's entries during which nobody set its wall
//   clock; each `clock.jumped` begins a new one.
// Definition: the *error* of a time is a bound on how far it is from the hub's, as long as no one
//   set the clock unnoticed: at a sample half its round trip.
// [corrected-time 1] Within a segment the offset is interpolated between the samples before and
//   after an entry, by the wall clock, to a whole millisecond; before the first sample and after
//   the last it is that sample's.
// [corrected-time 2] A segment without a sample has the last offset of the segment before it, less
//   the jump between them; if none before it has one, the first offset of the segment after it,
//   plus the jump between them.
// [corrected-time 3] A device without any sample has the offset 0 until its clock is set, and no
//   error is known.
// [corrected-time 4] No time is before that of the device's sample before it, nor after that of its
//   sample after it: a clock that was set unnoticed is put right by the next sample.
// [corrected-time 5] Between two samples of a segment the error is interpolated as the offset is;
//   outside them it is the nearest's and grows by `driftMax`; by whatever [corrected-time 4] moved
//   a time, its error is greater, up to what lies between the two samples.

import type { Entry } from "./entry.ts";

/**
 * How fast an unchecked clock may gain or lose, seconds a second.
 *
 * Common practice, no source: quartz in handheld devices keeps within some 50 parts in a million
 * over the temperatures of a pool deck; this is twice that.
 */
export const driftMax = 100e-6;

/** A device's times: one for each of its entries. */
export type CorrectedTimes = {
  /** Milliseconds since 1970 on the hub's clock. */
  readonly timesMs: number[];
  /** Whole milliseconds, rounded up; null: the device's clock was never checked. */
  readonly errorsMs: number[] | null;
  /** What holds after the last entry, until the next about the clock. */
  readonly tail: ClockTail;
};

/** How times run on after the last entry about a device's clock. */
export type ClockTail = { readonly offsetMs: number; readonly anchor: ClockAnchor | null };

/** A sample as later and earlier times refer to it. */
export type ClockAnchor = { readonly atMs: number; readonly errorMs: number };

/**
 * The corrected time of each of a device's entries.
 *
 * @param entries all that is known of one device, in the order of seq
 * Errors: none; what is no number counts as 0.
 */
export function correctedTimes(entries: readonly Entry[]): CorrectedTimes {
  const { segments, samples } = cutSegments(entries);
  const offsetMs = spreadOffsets(segments);
  const timesMs: number[] = [];
  const errorsMs: number[] | null = samples.length === 0 ? null : [];
  let next = 0;
  for (const segment of segments) {
    for (let index = segment.from; index < segment.end; index += 1) {
      while (next < samples.length && (samples[next] as Sample).index < index) next += 1;
      const between = { before: samples[next - 1], after: samples[next] };
      const time =
        between.after?.index === index
          ? between.after
          : timeWithin(segment, between, finite(entries[index]?.wallMs));
      timesMs.push(time.atMs);
      errorsMs?.push(Math.ceil(time.errorMs));
    }
  }
  return { timesMs, errorsMs, tail: { offsetMs, anchor: samples.at(-1) ?? null } };
}

/** The time of an entry that comes after all that is known of its device's clock. */
export function timeAfter(
  { offsetMs, anchor }: ClockTail,
  wallMs: number,
): { readonly atMs: number; readonly errorMs: number } {
  const atMs = Math.round(finite(wallMs) + offsetMs);
  if (anchor === null) return { atMs, errorMs: 0 };
  const keptMs = Math.max(atMs, anchor.atMs);
  return { atMs: keptMs, errorMs: Math.ceil(drifted(anchor, atMs) + (keptMs - atMs)) };
}

/** Whether an entry says something of its device's clock. */
export function isAboutClock({ body }: Entry): boolean {
  return body.kind === "clock.sampled" || body.kind === "clock.jumped";
}

type Sample = ClockAnchor & {
  readonly index: number;
  readonly wallMs: number;
  readonly offsetMs: number;
};

type Segment = {
  /** Index of the first entry, and one past the last. */
  readonly from: number;
  readonly end: number;
  /** How far the wall clock was set forward at its beginning. */
  readonly jumpMs: number;
  readonly samples: readonly Sample[];
  /** Where it has no sample. */
  constantOffsetMs: number;
};

function cutSegments(entries: readonly Entry[]): {
  readonly segments: readonly Segment[];
  readonly samples: readonly Sample[];
} {
  const segments: Segment[] = [];
  const all: Sample[] = [];
  let from = 0;
  let jumpMs = 0;
  let samples: Sample[] = [];
  for (const [index, { body, wallMs }] of entries.entries()) {
    if (body.kind === "clock.jumped") {
      segments.push({ from, end: index, jumpMs, samples, constantOffsetMs: 0 });
      from = index;
      jumpMs = finite(body.byMs);
      samples = [];
    } else if (body.kind === "clock.sampled") {
      const sample = sampleOf(index, finite(wallMs), body);
      samples.push(sample);
      all.push(sample);
    }
  }
  segments.push({ from, end: entries.length, jumpMs, samples, constantOffsetMs: 0 });
  return { segments, samples: all };
}

function sampleOf(
  index: number,
  wallMs: number,
  body: { readonly offsetMs: number; readonly roundTripMs: number },
): Sample {
  const offsetMs = finite(body.offsetMs);
  const errorMs = Math.abs(finite(body.roundTripMs)) / 2;
  return { index, wallMs, offsetMs, atMs: Math.round(wallMs + offsetMs), errorMs };
}

// Gives each segment the offset that it has where no sample is near; returns the last one's.
function spreadOffsets(segments: readonly Segment[]): number {
  let offsetMs = offsetBeforeFirstSample(segments);
  for (const segment of segments) {
    offsetMs -= segment.jumpMs;
    segment.constantOffsetMs = offsetMs;
    offsetMs = segment.samples.at(-1)?.offsetMs ?? offsetMs;
  }
  return offsetMs;
}

// What the first segment's offset must be so that the first sample comes out as it was taken.
function offsetBeforeFirstSample(segments: readonly Segment[]): number {
  let jumpedMs = 0;
  for (const segment of segments) {
    jumpedMs += segment.jumpMs;
    const [first] = segment.samples;
    if (first !== undefined) return first.offsetMs + jumpedMs;
  }
  return 0;
}

/** The samples next to an entry, in whatever segments. */
type Neighbours = { readonly before: Sample | undefined; readonly after: Sample | undefined };

function timeWithin(
  segment: Segment,
  { before, after }: Neighbours,
  wallMs: number,
): { readonly atMs: number; readonly errorMs: number } {
  const near = isIn(segment, before) ? before : undefined;
  const far = isIn(segment, after) ? after : undefined;
  let offsetMs = near?.offsetMs ?? far?.offsetMs ?? segment.constantOffsetMs;
  let part: number | null = null;
  if (near !== undefined && far !== undefined) {
    part = partOfWay(near.wallMs, far.wallMs, wallMs);
    offsetMs = near.offsetMs + (far.offsetMs - near.offsetMs) * part;
  }
  const atMs = Math.round(wallMs + offsetMs);
  const keptMs = Math.max(before?.atMs ?? -Infinity, Math.min(after?.atMs ?? Infinity, atMs));
  const anchor = near ?? far ?? before ?? after;
  if (anchor === undefined) return { atMs: keptMs, errorMs: 0 };
  const ownErrorMs =
    part === null || near === undefined || far === undefined
      ? drifted(anchor, atMs)
      : near.errorMs + (far.errorMs - near.errorMs) * part;
  return { atMs: keptMs, errorMs: widened(ownErrorMs, Math.abs(keptMs - atMs), { before, after }) };
}

// Samples between the two of them bound a time that was moved, however far.
function widened(errorMs: number, movedMs: number, { before, after }: Neighbours): number {
  if (movedMs === 0 || before === undefined || after === undefined) return errorMs + movedMs;
  const spanMs = Math.max(0, after.atMs - before.atMs) + Math.max(before.errorMs, after.errorMs);
  return Math.min(errorMs + movedMs, spanMs);
}

function isIn({ from, end }: Segment, sample: Sample | undefined): sample is Sample {
  return sample !== undefined && sample.index >= from && sample.index < end;
}

function drifted(anchor: ClockAnchor, atMs: number): number {
  return anchor.errorMs + Math.abs(atMs - anchor.atMs) * driftMax;
}

function partOfWay(fromMs: number, toMs: number, wallMs: number): number {
  if (toMs <= fromMs) return 0;
  return Math.min(1, Math.max(0, (wallMs - fromMs) / (toMs - fromMs)));
}

function finite(value: unknown): number {
  return typeof value === "number" && Number.isFinite(value) ? value : 0;
}
