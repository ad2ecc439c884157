// NIST Special Publication 811 (2008 edition), Guide for the Use of the International System of Units,
// appendix B.8: factors of seven digits, read in secondary copies of the table. The exact values are the
// products of the definitions that it names (inch, foot, pound, standard gravity, Btu and
// kilocalorie of the International Table), multiplied in whole numbers below.

import { expect, test } from "vitest";
import { convert, toSi, unitFactors } from "../../machines/units/factors.ts";
import { formatQuantity } from "../../machines/units/format-quantity.ts";
import type { Unit } from "../../machines/units/quantity.ts";

const published: readonly [unit: Unit, factor: string, si: Unit][] = [
  ["ft·lbf", "1.355818", "N·m"],
  ["in·lbf", "0.1129848", "N·m"],
  ["psi", "6.894757", "kPa"],
  ["mmHg", "0.1333224", "kPa"],
  ["Btu/h", "0.2930711", "W"],
  ["lb", "0.4535924", "kg"],
];

test.each(published)("[factors] one %s is %s %s to seven digits", (unit, factor, si) => {
  expect(convert({ value: 1, unit }, si).toPrecision(7)).toBe(Number(factor).toPrecision(7));
});

// Whole numbers over powers of ten, so that no rounding enters before the last division.
const foot = 3048n; // 1e-4 m
const inch = 254n; // 1e-4 m
const poundForce = 45359237n * 980665n; // 1e-13 N

function decimal(digits: bigint, scale: number): number {
  return Number(`${digits}e-${scale}`);
}

const exact: readonly [unit: Unit, factor: number][] = [
  ["ft·lbf", decimal(poundForce * foot, 17)],
  ["in·lbf", decimal(poundForce * inch, 17)],
  // kPa: 1e-13 N over 1e-8 m² is 1e-5 Pa; twenty more digits are asked of the division.
  ["psi", decimal((poundForce * 10n ** 20n) / inch ** 2n, 28)],
  ["Btu/h", decimal((105505585262n * 10n ** 20n) / 3600n, 28)],
  ["kcal/h", 1.163],
  ["mmHg", decimal((101325n * 10n ** 20n) / 760n, 23)],
  ["lb", 0.45359237],
  ["ft", 0.3048],
  ["W·h", 3600],
  ["g", 0.001],
  ["min", 60],
  ["%", 0.01],
];

test.each(exact)("[factors] %s is exact to the last bit: %d", (unit, factor) => {
  expect(unitFactors[unit].factor).toBe(factor);
});

test("[factors] 0 °C is 273.15 K, by the definition of the degree Celsius", () => {
  expect(toSi({ value: 0, unit: "°C" })).toBe(273.15);
});

test("[factors] 85 ft is 25.91 m, printed as 26 m, as a tether's length was printed", () => {
  expect(convert({ value: 85, unit: "ft" }, "m").toFixed(2)).toBe("25.91");
  expect(formatQuantity({ value: 85, unit: "ft" }, "m")).toBe("26\u00A0m");
});

// Suit design figures with both units in one source: the Suit Water Intrusion Mishap Investigation Report,
// IRIS S-2013-199-00005 (2013), p. 40, in Btu/h; watts and kilocalories worked out by the design.
const heatRates: readonly [btuPerHour: number, watts: string, kilocaloriesPerHour: string][] = [
  [350, "102.6", "88.2"],
  [850, "249.1", "214.2"],
  [1000, "293.1", "252.0"],
  [1600, "468.9", "403.2"],
  [2000, "586.1", "504.0"],
];

test.each(heatRates)("[factors] %d Btu/h is %s W and %s kcal/h", (value, watts, kilocalories) => {
  const rate = { value, unit: "Btu/h" } as const;
  expect(convert(rate, "W").toFixed(1)).toBe(watts);
  expect(convert(rate, "kcal/h").toFixed(1)).toBe(kilocalories);
});
