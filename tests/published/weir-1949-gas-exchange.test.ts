// J. B. de V. Weir, "New methods for calculating metabolic rate with special reference to protein
// metabolism", J. Physiol. 109 (1949): heat in kcal/min = 3.941 VO2 + 1.106 VCO2 (L/min).
//
// The suit's rates are those of the Suit Water Intrusion Mishap Investigation Report, IRIS S-2013-199-00005
// (2013), p. 40; litres and grams at RQ 0.90 were worked out from them by the design. The densities (1.429
// and 1.977 g/L at 0 °C and 1 atm) and the heat of sublimation (2.83 MJ/kg) are from memory, unverified: what
// is checked is the arithmetic. Tolerance: half of the last digit that is printed.

import { expect, test } from "vitest";
import {
  coolingWaterRate,
  gasRates,
  heatOfGas,
  usualGasFigures,
} from "../../machines/consumables/gas-exchange.ts";
import { convert, toSi } from "../../machines/units/factors.ts";

const hour = 3600;
const grams = (kilogramsPerSecond: number) => kilogramsPerSecond * 1000 * hour;
const wattsOf = (btuPerHour: number) => toSi({ value: btuPerHour, unit: "Btu/h" });
const withQuotient = (value: number) => ({
  ...usualGasFigures,
  respiratoryQuotient: { value, source: "the table's own column", verified: true },
});

test("[suit-use 1] 0.30 L/min of oxygen and 0.24 of carbon dioxide are 2084.7 kcal a day", () => {
  const kilocaloriesPerHour = convert({ value: heatOfGas(0.3, 0.24), unit: "W" }, "kcal/h");
  expect(kilocaloriesPerHour * 24).toBeCloseTo(2084.7, 1);
});

const table: readonly (readonly number[])[] = [
  [350, 0.298, 25.5, 0.268, 31.8],
  [850, 0.723, 62.0, 0.651, 77.2],
  [1000, 0.851, 72.9, 0.766, 90.8],
  [1600, 1.361, 116.7, 1.225, 145.3],
  [2000, 1.702, 145.9, 1.531, 181.7],
];

test.each(table)(
  "[suit-use 1] at %d Btu/h: %d L/min and %d g/h of oxygen, %d L/min and %d g/h of carbon dioxide",
  (...row) => {
    const [btuPerHour, oxygenLitres, oxygenGrams, dioxideLitres, dioxideGrams] = row;
    const rates = gasRates(wattsOf(btuPerHour ?? 0));
    expect(rates.oxygenLitresPerMinute).toBeCloseTo(oxygenLitres ?? 0, 3);
    expect(rates.carbonDioxideLitresPerMinute).toBeCloseTo(dioxideLitres ?? 0, 3);
    expect(Math.abs(grams(rates.oxygenKilogramsPerSecond) - (oxygenGrams ?? 0))).toBeLessThan(0.06);
    expect(
      Math.abs(grams(rates.carbonDioxideKilogramsPerSecond) - (dioxideGrams ?? 0)),
    ).toBeLessThan(0.06);
  },
);

test.each([
  [0.8, 74.6, 82.6],
  [0.85, 73.8, 86.8],
  [0.9, 72.9, 90.8],
  [1, 71.4, 98.7],
])("[suit-use 1] at 1000 Btu/h and RQ %d: %d g/h of oxygen, %d of carbon dioxide", (...row) => {
  const [quotient, oxygen, dioxide] = row;
  const rates = gasRates(wattsOf(1000), withQuotient(quotient));
  expect(Math.abs(grams(rates.oxygenKilogramsPerSecond) - oxygen)).toBeLessThan(0.06);
  expect(Math.abs(grams(rates.carbonDioxideKilogramsPerSecond) - dioxide)).toBeLessThan(0.06);
});

test.each([
  [7, 1000, 511, 636],
  [8, 850, 496, 618],
])("[suit-use 1] %d h at %d Btu/h: %d g of oxygen, %d g of carbon dioxide", (...row) => {
  const [hours, btuPerHour, oxygen, dioxide] = row;
  const rates = gasRates(wattsOf(btuPerHour));
  expect(Math.round(rates.oxygenKilogramsPerSecond * 1000 * hour * hours)).toBe(oxygen);
  expect(Math.round(rates.carbonDioxideKilogramsPerSecond * 1000 * hour * hours)).toBe(dioxide);
});

// Baseline Values and Assumptions Document (2004), by a secondary copy: 0.835 kg of oxygen and 0.998 kg of
// carbon dioxide at 11.82 MJ a day and RQ 0.869. Tolerance 2 %, for its densities and formula are not Weir's.
test("[suit-use 1] a day at 11.82 MJ and RQ 0.869 takes 0.835 kg of oxygen and gives 0.998 kg of carbon dioxide", () => {
  const day = 24 * hour;
  const rates = gasRates(11.82e6 / day, withQuotient(0.869));
  expect(Math.abs((rates.oxygenKilogramsPerSecond * day) / 0.835 - 1)).toBeLessThan(0.02);
  expect(Math.abs((rates.carbonDioxideKilogramsPerSecond * day) / 0.998 - 1)).toBeLessThan(0.02);
});

test("[suit-use 1] 1000 Btu/h sublimate 0.822 lb of water an hour", () => {
  const kilograms = coolingWaterRate(wattsOf(1000)) * hour;
  expect(convert({ value: kilograms, unit: "kg" }, "lb")).toBeCloseTo(0.822, 3);
});

// Apollo 17 Final Lunar Surface Procedures, 4.4: 5.34 lb last 79.5 min at low flow, 5.04 lb 39 min at high flow
// (7.75 lb/h); the first rate by division.
test.each([
  [5.34, 79.5, 4.03],
  [5.04, 39, 7.75],
])("[suit-use 2] %d lb that last %d min are used at %d lb/h", (pounds, minutes, poundsPerHour) => {
  const kilogramsPerSecond =
    toSi({ value: pounds, unit: "lb" }) / toSi({ value: minutes, unit: "min" });
  const perHour = convert({ value: kilogramsPerSecond * hour, unit: "kg" }, "lb");
  expect(Math.abs(perHour - poundsPerHour)).toBeLessThan(0.006);
});
