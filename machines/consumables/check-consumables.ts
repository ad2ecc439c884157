// Findings about what the suits use up.
//
// [check-consumables 1] What does not last for the likely plan is a fault; what does not last if everything
//   takes longest, with the reserve on top, is a doubt.
// [check-consumables 2] A peak above what the suit is meant for is a doubt.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { placeOf } from "../plan/finding.ts";
import type { Finding } from "../plan/finding.ts";
import { positionWords } from "../plan/plan-words.ts";
import { toSi } from "../units/factors.ts";
import type { SourcedFigure } from "./gas-exchange.ts";
import { suitUses } from "./suit-use.ts";
import type { Consumable, ConsumableUse, SuitUse } from "./suit-use.ts";

/** The greatest mean rate that a suit is meant for, in watts, by the seconds of the window. */
export type PeakLimit = { readonly windowSeconds: number; readonly watts: SourcedFigure };

const designSource =
  "Suit Water Intrusion Mishap Investigation Report, IRIS S-2013-199-00005 (2013), p. 40.";

/** The limits unless a person has set others. */
export const usualPeakLimits: readonly PeakLimit[] = [
  {
    windowSeconds: 15 * 60,
    watts: { value: toSi({ value: 2000, unit: "Btu/h" }), source: designSource, verified: true },
  },
  {
    windowSeconds: 60 * 60,
    watts: { value: toSi({ value: 1600, unit: "Btu/h" }), source: designSource, verified: true },
  },
];

/** Findings about every suit. Errors: none. */
export function checkConsumables(
  index: ProcedureIndex,
  peakLimits: readonly PeakLimit[] = usualPeakLimits,
): readonly Finding[] {
  return suitUses(index).flatMap((use) => [
    ...use.uses.flatMap((of) => shortFinding(index, use, of)),
    ...peakLimits.flatMap((limit) => peakFinding(index, use, limit)),
  ]);
}

const names: Readonly<Record<Consumable, string>> = {
  oxygen: "oxygen",
  scrubber: "scrubber",
  battery: "battery",
  coolingWater: "cooling water",
};

function shortFinding(
  index: ProcedureIndex,
  { position, seconds }: SuitUse,
  { consumable, capacity, used, left, enduranceSeconds }: ConsumableUse,
): readonly Finding[] {
  const reserveSeconds = index.procedure.limits.reserveSeconds;
  const perSecond = seconds.most > 0 ? used.most / seconds.most : 0;
  const isFault = left.likely < 0;
  const needed = isFault ? used.likely : used.most + perSecond * reserveSeconds;
  if (needed <= capacity) return [];
  const who = `${positionWords(index, position)}'s ${names[consumable]}`;
  const share = Math.round((needed / capacity - 1) * 1000) / 10;
  const lasts = `at the plan's mean rate it lasts ${hours(enduranceSeconds)} h`;
  return [
    {
      kind: "consumable-short",
      grade: isFault ? "fault" : "doubt",
      where: placeOf({ positions: [position] }),
      says: isFault
        ? `${who} does not last: the likely plan of ${hours(seconds.likely)} h needs ${share} % more than the suit holds; ${lasts}.`
        : `${who} lasts for the likely plan; if everything takes longest, ${hours(seconds.most)} h, with the reserve of ${Math.round(reserveSeconds / 60)} min, ${share} % is missing; ${lasts}.`,
      witness: null,
      mend: { says: "Do less, defer a task, or let more be filled in.", edits: [] },
      onlyWith: [],
    },
  ];
}

function peakFinding(
  index: ProcedureIndex,
  { position, peaks }: SuitUse,
  { windowSeconds, watts }: PeakLimit,
): readonly Finding[] {
  const peak = peaks.find((other) => other.windowSeconds === windowSeconds);
  if (peak === undefined || peak.watts <= watts.value) return [];
  const name = positionWords(index, position);
  return [
    {
      kind: "metabolic-peak",
      grade: "doubt",
      where: placeOf({ positions: [position] }),
      says: `${name} works at ${Math.round(peak.watts)} W on average over ${windowSeconds / 60} min from ${hours(peak.fromSeconds)} h on; the suit is meant for ${Math.round(watts.value)} W (${watts.source})`,
      witness: null,
      mend: { says: `Let ${name} rest in between.`, edits: [] },
      onlyWith: [],
    },
  ];
}

function hours(seconds: number): string {
  return String(Math.round(seconds / 360) / 10);
}
