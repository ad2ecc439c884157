// From the heat that a body makes to the oxygen it takes, the carbon dioxide it gives and the water that
// carries the heat away.

import { unitFactors } from "../units/factors.ts";

/** A figure with where it comes from; `verified` false: shown as such until a person confirms it. */
export type SourcedFigure = {
  readonly value: number;
  readonly source: string;
  readonly verified: boolean;
};

/** What the conversion rests on; each may be set otherwise. */
export type GasFigures = {
  /** Litres of carbon dioxide given for one of oxygen taken. */
  readonly respiratoryQuotient: SourcedFigure;
  readonly oxygenGramsPerLitre: SourcedFigure;
  readonly carbonDioxideGramsPerLitre: SourcedFigure;
  /** Joules that a kilogram of water takes along when it sublimates. */
  readonly sublimationJoulesPerKilogram: SourcedFigure;
};

/** The figures unless a person has set others. */
export const usualGasFigures: GasFigures = {
  respiratoryQuotient: {
    value: 0.9,
    source: "Common practice, no source: mixed food at steady work.",
    verified: false,
  },
  oxygenGramsPerLitre: {
    value: 1.429,
    source: "From memory, unverified: 0 °C and 1 atm.",
    verified: false,
  },
  carbonDioxideGramsPerLitre: {
    value: 1.977,
    source: "From memory, unverified: 0 °C and 1 atm.",
    verified: false,
  },
  sublimationJoulesPerKilogram: {
    value: 2.83e6,
    source: "From memory, unverified: ice near 0 °C.",
    verified: false,
  },
};

/** Rates of one body. */
export type GasRates = {
  readonly oxygenLitresPerMinute: number;
  readonly carbonDioxideLitresPerMinute: number;
  readonly oxygenKilogramsPerSecond: number;
  readonly carbonDioxideKilogramsPerSecond: number;
};

/**
 * Gas exchange at a metabolic rate.
 *
 * @param watts metabolic rate
 * Errors: none.
 * Source: Weir 1949, kcal/min = 3.941 VO2 + 1.106 VCO2, both in L/min, with VCO2 = RQ VO2. Checked in
 *   tests/published/weir-1949-gas-exchange.test.ts
 */
export function gasRates(watts: number, figures: GasFigures = usualGasFigures): GasRates {
  const kilocaloriesPerMinute = watts / unitFactors["kcal/h"].factor / 60;
  const quotient = figures.respiratoryQuotient.value;
  const oxygen = kilocaloriesPerMinute / (3.941 + 1.106 * quotient);
  const carbonDioxide = quotient * oxygen;
  return {
    oxygenLitresPerMinute: oxygen,
    carbonDioxideLitresPerMinute: carbonDioxide,
    oxygenKilogramsPerSecond: toKilogramsPerSecond(oxygen, figures.oxygenGramsPerLitre.value),
    carbonDioxideKilogramsPerSecond: toKilogramsPerSecond(
      carbonDioxide,
      figures.carbonDioxideGramsPerLitre.value,
    ),
  };
}

/**
 * Heat by Weir's formula.
 *
 * @returns watts
 * Errors: none.
 * Source: see `gasRates`.
 */
export function heatOfGas(
  oxygenLitresPerMinute: number,
  carbonDioxideLitresPerMinute: number,
): number {
  const kilocaloriesPerMinute =
    3.941 * oxygenLitresPerMinute + 1.106 * carbonDioxideLitresPerMinute;
  return kilocaloriesPerMinute * 60 * unitFactors["kcal/h"].factor;
}

/** Water that carries so many watts away by sublimation, in kilograms a second. Errors: none. */
export function coolingWaterRate(watts: number, figures: GasFigures = usualGasFigures): number {
  return watts / figures.sublimationJoulesPerKilogram.value;
}

function toKilogramsPerSecond(litresPerMinute: number, gramsPerLitre: number): number {
  return (litresPerMinute * gramsPerLitre) / 1000 / 60;
}
