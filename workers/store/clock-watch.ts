// What a device can know of its own clock: from the hub, and from its monotonic clock.
//
// Definition: two samples *agree* if their offsets differ by no more than both round trips explain,
//   and `offsetSlackMs`.
// [clock-watch 1] Samples that the newest one does not agree with are dropped: the clock was set.
// [clock-watch 2] The offset in use is that of the shortest round trip among the samples kept.
// [clock-watch 3] A sample goes into the record at first contact, when the offset no longer agrees
//   with the one recorded last, and after `recordEveryMs`; not at every exchange.
// [clock-watch 4] Only a step backwards against the monotonic clock is called a jump here; a step
//   forwards may be sleep, during which most monotonic clocks stand still, and is found by the
//   next sample.

import type { ClockSample, Link } from "./database.ts";

/** So many samples are kept. */
export const samplesMax = 8;
/** Offsets may differ by so much more than the round trips explain. */
const offsetSlackMs = 100;
/** A sample is recorded anew after so long. */
export const recordEveryMs = 600_000;
/** A step backwards of less is no jump but the usual slewing. */
const jumpMsMin = 500;
/** A change of offset, between two recorded samples, by more than this is recorded as a jump. */
const foundJumpMsMin = 2_000;

/** Both clocks of a device, read at one moment. */
export type ClockReading = {
  /** Wall clock, milliseconds since 1970. */
  readonly wallMs: number;
  /** Monotonic clock of this page, milliseconds since some moment. */
  readonly monotonicMs: number;
};

/** By how much the wall clock was set back between two readings of one page; 0: it was not. */
export function clockJumpMs(before: ClockReading, after: ClockReading): number {
  const wallMs = after.wallMs - before.wallMs;
  const monotonicMs = after.monotonicMs - before.monotonicMs;
  const byMs = Math.round(wallMs - monotonicMs);
  return byMs <= -jumpMsMin ? byMs : 0;
}

/** The link with one more sample. */
export function addSample(link: Link, sample: ClockSample): Link {
  const kept = link.samples.filter((one) => agree(one, sample));
  return { ...link, samples: [...kept, sample].slice(-samplesMax) };
}

/** The link after the clock was set: nothing that was measured before holds. */
export function forgetSamples(link: Link): Link {
  return { ...link, samples: [], recorded: null };
}

/** The sample whose offset is in use, the newest of equally good ones; undefined: there is none. */
export function bestSample(link: Link): ClockSample | undefined {
  return link.samples.toReversed().toSorted((a, b) => a.roundTripMs - b.roundTripMs)[0];
}

/** What to put into the record of what is known now. */
export type ClockNews = {
  /** The sample to record; null: nothing is due. */
  readonly sample: ClockSample | null;
  /** A jump, found because the offset changed, to record before it; 0: none. */
  readonly jumpMs: number;
};

/** What of this device's clock is due for the record. `wallMs`: the clock now. */
export function clockNews(link: Link, wallMs: number): ClockNews {
  const best = bestSample(link);
  if (best === undefined) return { sample: null, jumpMs: 0 };
  const recorded = link.recorded;
  if (recorded === null) return { sample: best, jumpMs: 0 };
  const changeMs = Math.round(recorded.offsetMs - best.offsetMs);
  if (!agree(recorded, best)) {
    return { sample: best, jumpMs: Math.abs(changeMs) > foundJumpMsMin ? changeMs : 0 };
  }
  return { sample: wallMs - recorded.wallMs >= recordEveryMs ? best : null, jumpMs: 0 };
}

function agree(a: ClockSample, b: ClockSample): boolean {
  const explainedMs = (a.roundTripMs + b.roundTripMs) / 2;
  return Math.abs(a.offsetMs - b.offsetMs) <= explainedMs + offsetSlackMs;
}
