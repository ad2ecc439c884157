// Corrected time is true time, within the bounds of the samples: what nobody in the simulation can know, the
// simulation knows.
//
// Definition: a device's *offset* at an entry is what its clock showed less than the hub's.
// Definition: a sample *tells* of an entry if the jumps that the record has between them are what the clock
//   was truly set by between them.
// [true-time 1] If the samples next to an entry, before and after it in its chain, tell of it and are right,
//   its corrected time is off by no more than half their longest round trip.
// [true-time 2] Where no clock is ever set, every sample is right, and tells of every entry.

import { correctedTimes } from "../../../machines/record/corrected-time.ts";
import type { Entry } from "../../../machines/record/entry.ts";
import type { Written } from "../simulation.ts";
import type { DeviceLeft, Leftovers } from "./leftovers.ts";

/** Rounding, of the sample and of the time. */
const slackMs = 3;
/** Jumps of which the record tells are found from samples that are themselves not exact. */
const jumpSlackMs = 1_000;

/** Entries whose corrected time is wrong. */
export function checkTrueTime(left: Leftovers): readonly string[] {
  return left.devices.flatMap((device) => {
    // What was written again bears the time of its first writing.
    return device.wasPutBack || device.isOut ? [] : faultsOf(left, device);
  });
}

type Dated = Written & {
  readonly entry: Entry;
  readonly atMs: number;
  /** How far off the product says that it may be. */
  readonly saidErrorMs: number;
};

function faultsOf(left: Leftovers, { id, entries }: DeviceLeft): readonly string[] {
  const chain = entries.filter(({ device }) => device === id).toSorted((a, b) => a.seq - b.seq);
  const { timesMs, errorsMs } = correctedTimes(chain);
  const dated = chain.map((entry, place): Dated | undefined => {
    const written = left.written.get(`${entry.device}:${entry.seq}:${entry.wallMs}`);
    if (written === undefined) return undefined;
    const atMs = timesMs[place] as number;
    return { ...written, entry, atMs, saidErrorMs: errorsMs?.[place] ?? Infinity };
  });
  return dated.flatMap((one, place) => {
    if (one === undefined) return [];
    const next = [nearest(dated, place, -1), nearest(dated, place, 1)].filter(
      (sample) => sample !== undefined,
    );
    if (next.length === 0) return [];
    const areTelling = next.every((sample) => {
      return left.areClocksLeftAlone || isTelling(dated, sample, one);
    });
    if (!areTelling) return [];
    const boundMs = Math.max(...next.map(roundTripOf)) / 2 + slackMs + jumpBound(dated, next, one);
    const wrongMs = Math.abs(one.atMs - one.trueMs);
    if (wrongMs <= Math.min(boundMs, one.saidErrorMs + slackMs)) return [];
    const says = `${one.entry.device}:${one.entry.seq} is off by ${wrongMs} ms, not ${boundMs} or ${one.saidErrorMs}`;
    return [`corrected time is true within the bounds of the samples: ${says}`];
  });
}

function nearest(
  dated: readonly (Dated | undefined)[],
  from: number,
  step: 1 | -1,
): Dated | undefined {
  for (let place = from; place >= 0 && place < dated.length; place += step) {
    const one = dated[place];
    if (one?.entry.body.kind === "clock.sampled") return one;
  }
  return undefined;
}

function isTelling(dated: readonly (Dated | undefined)[], sample: Dated, one: Dated): boolean {
  const { body } = sample.entry;
  if (body.kind !== "clock.sampled") return false;
  const isRight = Math.abs(body.offsetMs + sample.skewMs) <= body.roundTripMs / 2 + slackMs;
  const [from, to] = sample.entry.seq < one.entry.seq ? [sample, one] : [one, sample];
  const recordedMs = jumpsBetween(dated, from, to).reduce((sum, byMs) => sum + byMs, 0);
  return isRight && Math.abs(to.skewMs - from.skewMs - recordedMs) <= jumpSlackMs;
}

function jumpsBetween(
  dated: readonly (Dated | undefined)[],
  from: Dated,
  to: Dated,
): readonly number[] {
  return dated.flatMap((one) => {
    if (one === undefined || one.entry.body.kind !== "clock.jumped") return [];
    const { seq } = one.entry;
    return seq > from.entry.seq && seq <= to.entry.seq ? [one.entry.body.byMs] : [];
  });
}

function jumpBound(
  dated: readonly (Dated | undefined)[],
  samples: readonly Dated[],
  one: Dated,
): number {
  const areJumps = samples.some((sample) => {
    const [from, to] = sample.entry.seq < one.entry.seq ? [sample, one] : [one, sample];
    return jumpsBetween(dated, from, to).length > 0;
  });
  return areJumps ? jumpSlackMs : 0;
}

function roundTripOf({ entry: { body } }: Dated): number {
  return body.kind === "clock.sampled" ? body.roundTripMs : 0;
}
