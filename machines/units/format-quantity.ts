// Quantities as people read them.
//
// [format-quantity 1] In the unit it was typed in, a value is shown as typed.
// [format-quantity 2] A converted value has as many significant digits as the typed one, at least two:
//   85 ft is 26 m, for nobody measured its millimetres.
// [format-quantity 3] It is never in powers of ten, and the same on every device: no locale.

import { convert } from "./factors.ts";
import type { Quantity, Unit } from "./quantity.ts";

/**
 * A quantity as text in a unit: "26 m". A no-break space stands before the unit; a bare number has none.
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
  const rounded = Number(value.toPrecision(significantDigits));
  if (rounded === 0) return "0";
  const exponent = Math.floor(Math.log10(Math.abs(rounded)));
  const decimals = Math.min(100, Math.max(0, significantDigits - 1 - exponent));
  return withMinus(rounded.toFixed(decimals));
}

// Digits that were typed, at least two; the zeros at the end of a whole number count.
function typedDigits(value: number): number {
  const digits = plainNumber(Math.abs(value)).replace(".", "").replace(/^0+/, "");
  return Math.min(21, Math.max(2, digits.length));
}

function plainNumber(value: number): string {
  const text = String(value);
  return text.includes("e") ? formatNumber(value, 17) : withMinus(text);
}

function withMinus(text: string): string {
  return text.replace("-", "\u2212");
}
