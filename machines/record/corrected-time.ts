// Corrected time: when an entry was made, by the hub's clock.
//
// Definition: the *offset* of a device is what must be added to its wall clock to get the hub's
//   time.
// Definition: a *segment* is a stretch of a device's entries during which nobody set its wall
//   clock; each `clock.jumped` begins a new one.
// [corrected-time 1] Within a segment the offset is interpolated between the samples before and
//   after an entry, by the wall clock, to a whole millisecond; before the first sample and after
//   the last it is that sample's.
// [corrected-time 2] A segment without a sample has the last offset of the segment before it, less
//   the jump between them; if none before it has one, the first offset of the segment after it,
//   plus the jump between them.
// [corrected-time 3] A device without any sample has the offset 0 until its clock is set.

import type { Entry } from "./entry.ts";

/**
 * The corrected time of each of a device's entries, milliseconds since 1970.
 *
 * @param entries all that is known of one device, in the order of seq
 * Errors: none; what is no number counts as 0.
 */
export function correctedTimes(entries: readonly Entry[]): readonly number[] {
  const segments = cutSegments(entries);
  spreadOffsets(segments);
  const times: number[] = [];
  for (const segment of segments) addTimes(times, entries, segment);
  return times;
}

type Sample = { readonly index: number; readonly wallMs: number; readonly offsetMs: number };

type Segment = {
  /** Index of the first entry, and one past the last. */
  readonly from: number;
  readonly end: number;
  /** How far the wall clock was set forward at its beginning. */
  readonly jumpMs: number;
  readonly samples: readonly Sample[];
  /** Where it has no sample. */
  constantOffsetMs: number | null;
};

function cutSegments(entries: readonly Entry[]): Segment[] {
  const segments: Segment[] = [];
  let from = 0;
  let jumpMs = 0;
  let samples: Sample[] = [];
  for (const [index, { body, wallMs }] of entries.entries()) {
    if (body.kind === "clock.jumped") {
      segments.push({ from, end: index, jumpMs, samples, constantOffsetMs: null });
      from = index;
      jumpMs = finite(body.byMs);
      samples = [];
    } else if (body.kind === "clock.sampled") {
      samples.push({ index, wallMs: finite(wallMs), offsetMs: finite(body.offsetMs) });
    }
  }
  segments.push({ from, end: entries.length, jumpMs, samples, constantOffsetMs: null });
  return segments;
}

function spreadOffsets(segments: readonly Segment[]): void {
  let offsetMs = offsetBeforeFirstSample(segments);
  for (const segment of segments) {
    offsetMs -= segment.jumpMs;
    segment.constantOffsetMs = offsetMs;
    offsetMs = segment.samples.at(-1)?.offsetMs ?? offsetMs;
  }
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

function addTimes(timesMutable: number[], entries: readonly Entry[], segment: Segment): void {
  const { samples } = segment;
  let next = 0;
  for (let index = segment.from; index < segment.end; index += 1) {
    const wallMs = finite(entries[index]?.wallMs);
    while (next < samples.length && (samples[next] as Sample).index < index) next += 1;
    const before = samples[next - 1];
    const after = samples[next];
    const offsetMs =
      before !== undefined && after !== undefined
        ? interpolated(before, after, wallMs)
        : (before?.offsetMs ?? after?.offsetMs ?? segment.constantOffsetMs ?? 0);
    timesMutable.push(Math.round(wallMs + offsetMs));
  }
}

function interpolated(before: Sample, after: Sample, wallMs: number): number {
  const spanMs = after.wallMs - before.wallMs;
  if (spanMs <= 0) return before.offsetMs;
  const part = Math.min(1, Math.max(0, (wallMs - before.wallMs) / spanMs));
  return before.offsetMs + (after.offsetMs - before.offsetMs) * part;
}

function finite(value: unknown): number {
  return typeof value === "number" && Number.isFinite(value) ? value : 0;
}
