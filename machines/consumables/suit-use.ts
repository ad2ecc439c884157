// What a suit uses up over the plan, what is left at the hatch, and what readings make of it.
//
// Definition: a consumable's *endurance* is how long the full suit would last at the plan's mean use.
// [suit-use 1] Use is reckoned with every step at its least, its likely and its most duration.
// [suit-use 2] The limiting consumable is the one of the shortest endurance.
// [suit-use 3] A reading scales what the plan still needs by what was used so far against what was planned
//   so far; the latest one counts.
// One average per person over the plan, and peaks over a quarter of an hour and an hour; more precision
// than that is not claimed for single steps.

import { toSi } from "../units/factors.ts";
import type { Quantity } from "../units/quantity.ts";
import type { PositionId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Suit } from "../procedure/procedure.ts";
import type { Step } from "../procedure/step.ts";
import { earliestTimes } from "../time/earliest-times.ts";
import { coolingWaterRate, gasRates, usualGasFigures } from "./gas-exchange.ts";
import type { GasFigures } from "./gas-exchange.ts";
import { joulesUntil, peakOver, workRateOf } from "./work-rate.ts";
import type { WorkRate } from "./work-rate.ts";

/** What a suit holds. */
export const consumables = ["oxygen", "scrubber", "battery", "coolingWater"] as const;

/** One of them; in kilograms, the battery in joules. */
export type Consumable = (typeof consumables)[number];

/** A value at least, likely and most durations. */
export type ThreeValues = {
  readonly least: number;
  readonly likely: number;
  readonly most: number;
};

/** One consumable of one suit. */
export type ConsumableUse = {
  readonly consumable: Consumable;
  readonly capacity: number;
  readonly used: ThreeValues;
  /** What is left when the lane's last step is done; negative: it does not last. */
  readonly left: ThreeValues;
  readonly enduranceSeconds: number;
};

/** A suited person's use over the plan. */
export type SuitUse = {
  readonly position: PositionId;
  readonly seconds: ThreeValues;
  readonly meanWatts: number;
  readonly peaks: readonly Peak[];
  readonly uses: readonly ConsumableUse[];
  readonly limiting: Consumable;
};

/** A peak of the likely plan. */
export type Peak = {
  readonly windowSeconds: number;
  readonly watts: number;
  readonly fromSeconds: number;
};

/** The use of every suited person, contingencies out of play. Errors: none; steps in a circle are left out. */
export function suitUses(
  index: ProcedureIndex,
  figures: GasFigures = usualGasFigures,
): readonly SuitUse[] {
  const rates = planRates(index);
  return index.procedure.positions.flatMap(({ id, suit }) => {
    if (suit === null) return [];
    return [
      useOf(
        id,
        suit,
        figures,
        mapValues(rates, (of) => of(id)),
      ),
    ];
  });
}

/** What was read of a suit in the run. */
export type SuitReading = {
  readonly consumable: Consumable;
  readonly atSeconds: number;
  readonly left: Quantity;
};

/** What a consumable comes to after its latest reading. */
export type CorrectedUse = {
  readonly consumable: Consumable;
  /** Used so far against planned so far; 1: as planned. */
  readonly factor: number;
  readonly leftAtHatch: number;
};

/** Corrects the likely plan of one person by readings. Errors: none; one at or before the start says nothing. */
export function correctByReadings(
  index: ProcedureIndex,
  position: PositionId,
  readings: readonly SuitReading[],
  figures: GasFigures = usualGasFigures,
): readonly CorrectedUse[] {
  const suit = index.positionsById.get(position)?.suit ?? null;
  if (suit === null) return [];
  const rate = planRates(index).likely(position);
  const end = rate.at(-1)?.toSeconds ?? 0;
  return consumables.flatMap((consumable) => {
    const own = readings.filter((reading) => reading.consumable === consumable);
    const latest = own.toSorted((a, b) => a.atSeconds - b.atSeconds).at(-1);
    if (latest === undefined) return [];
    const used = (seconds: number) => usedUntil(consumable, { suit, rate, figures, seconds });
    const planned = used(latest.atSeconds);
    if (planned <= 0) return [];
    const left = toSi(latest.left);
    const factor = (toSi(suit[consumable]) - left) / planned;
    return [{ consumable, factor, leftAtHatch: left - factor * (used(end) - planned) }];
  });
}

type ThreeOf<Value> = { readonly least: Value; readonly likely: Value; readonly most: Value };

function mapValues<From, To>(
  { least, likely, most }: ThreeOf<From>,
  map: (value: From) => To,
): ThreeOf<To> {
  return { least: map(least), likely: map(likely), most: map(most) };
}

const durationBy: ThreeOf<(step: Step) => number> = {
  least: ({ duration }) => duration.minSeconds,
  likely: ({ duration }) => duration.likelySeconds,
  most: ({ duration }) => duration.maxSeconds,
};

function planRates(index: ProcedureIndex): ThreeOf<(position: PositionId) => WorkRate> {
  return mapValues(durationBy, (durationSeconds) => {
    const timetable = earliestTimes(index, {
      isInPlay: (step) => !index.contingencySteps.has(step.id),
      durationSeconds,
      knownStartSeconds: () => null,
      knownEndSeconds: () => null,
      notBeforeSeconds: 0,
    });
    return (position: PositionId) => workRateOf(index, position, timetable);
  });
}

const peakWindows = [15 * 60, 60 * 60];

function useOf(
  position: PositionId,
  suit: Suit,
  figures: GasFigures,
  rates: ThreeOf<WorkRate>,
): SuitUse {
  const seconds = mapValues(rates, (rate) => rate.at(-1)?.toSeconds ?? 0);
  const uses = consumables.map((consumable): ConsumableUse => {
    const capacity = toSi(suit[consumable]);
    const used = mapValues(rates, (rate) => {
      const end = rate.at(-1)?.toSeconds ?? 0;
      return usedUntil(consumable, { suit, rate, figures, seconds: end });
    });
    return {
      consumable,
      capacity,
      used,
      left: mapValues(used, (value) => capacity - value),
      enduranceSeconds: used.likely > 0 ? (capacity / used.likely) * seconds.likely : Infinity,
    };
  });
  const shortest = uses.reduce((a, b) => (b.enduranceSeconds < a.enduranceSeconds ? b : a));
  const joules = joulesUntil(rates.likely, seconds.likely);
  return {
    position,
    seconds,
    meanWatts: seconds.likely > 0 ? joules / seconds.likely : 0,
    peaks: peakWindows.map((windowSeconds) => ({
      windowSeconds,
      ...peakOver(rates.likely, windowSeconds),
    })),
    uses,
    limiting: shortest.consumable,
  };
}

type Using = {
  readonly suit: Suit;
  readonly rate: WorkRate;
  readonly figures: GasFigures;
  readonly seconds: number;
};

// Gas and water go with the heat; the water carries the equipment's heat too, which is the battery's load.
function usedUntil(consumable: Consumable, { suit, rate, figures, seconds }: Using): number {
  const end = Math.min(seconds, rate.at(-1)?.toSeconds ?? 0);
  const joules = joulesUntil(rate, end);
  const equipment = toSi(suit.batteryLoad) * end;
  // The rates are proportional to the heat, so that those of so many joules in one second are the sum.
  switch (consumable) {
    case "oxygen":
      return gasRates(joules, figures).oxygenKilogramsPerSecond;
    case "scrubber":
      return gasRates(joules, figures).carbonDioxideKilogramsPerSecond;
    case "battery":
      return equipment;
    case "coolingWater":
      return coolingWaterRate(joules + equipment, figures);
  }
}
