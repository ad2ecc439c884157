// Quantities as people read them.
//
// [format-quantity 1] In the unit it was typed in, a value is shown as typed.
// [format-quantity 2] A converted value has as many significant digits as the typed one, at least
//   two: 85 ft is 26 m, for nobody measured its millimetres.
// [format-quantity 3] It is never in powers of ten, and the same on every device: no locale.

import { convert } from "./factors.ts";
import type { Quantity, Unit } from "./quantity.ts";

/**
 * A quantity as text in a unit: "26 m". A no-break space stands before the unit; a bare number has
 * none.
 *
 * @param significantDigits as [format-quantity 2] has it unless told; whole numbers are never cut
 *   below their unit's place, 1234 to two digits is "1200"
 * Errors: an assertion if the unit measures something else.
 */
export function formatQuantity(
  quantity: Quantity,
  unit: Unit = quantity.unit,
  significantDigits?: number,
): string {
  const value = convert(quantity, unit);
  const isAsTyped = unit === quantity.unit && significantDigits === undefined;
  const number = isAsTyped
    ? plainNumber(value)
    : formatNumber(value, significantDigits ?? typedDigits(quantity.value));
  return unit === "1" ? number : `${number}\u00A0${unit}`;
}

/**
 * A number as text with so many significant digits, never in powers of ten: "0.0051", "1200".
 *
 * @param significantDigits from 1 to 21
 * Errors: none for finite numbers.
 */
export function formatNumber(value: number, significantDigits: number): string {
  if (value === 0) return "0";
  return withMinus(inFull(value.toExponential(significantDigits - 1)));
}

// Digits that were typed, at least two; the zeros at the end of a whole number count.
function typedDigits(value: number): number {
  const digits = plainNumber(Math.abs(value)).replace(".", "").replace(/^0+/, "");
  return Math.min(21, Math.max(2, digits.length));
}

function plainNumber(value: number): string {
  const text = String(value);
  return withMinus(text.includes("e") ? inFull(text) : text);
}

// A number in powers of ten ("-1.5e-7") as digits alone ("-0.00000015").
function inFull(text: string): string {
  const [mantissa = "", exponent = "0"] = text.split("e");
  const sign = mantissa.startsWith("-") ? "-" : "";
  const digits = mantissa.replace(/[-.]/g, "");
  const point = Number(exponent) + 1;
  if (point <= 0) return `${sign}0.${"0".repeat(-point)}${digits}`;
  if (point >= digits.length) return sign + digits.padEnd(point, "0");
  return `${sign}${digits.slice(0, point)}.${digits.slice(point)}`;
}

function withMinus(text: string): string {
  return text.replace("-", "\u2212");
}
