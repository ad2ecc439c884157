// Factors of units to the SI unit of their dimension, each the double nearest to the exact value.
//
// The definitions, none of which is rounded: 1 in = 0.0254 m, 1 ft = 0.3048 m, 1 lb = 0.45359237
// kg, standard gravity 9.80665 m/s², 1 Btu (IT) = 1055.05585262 J, 1 kcal (IT) = 4186.8 J,
// 1 atm = 101.325 kPa. Products of them are written out, for multiplied here they could be off by a
// bit. The millimetre of mercury is a 760th of the standard atmosphere; the conventional one
// differs from it by less than two parts in ten million.
// Source: NIST SP 811 (2008), appendix B. Checked in tests/published/nist-sp-811-factors.test.ts

import { assert } from "../base/assert.ts";
import type { Dimension, Quantity, Unit } from "./quantity.ts";

/** What a unit measures and how it becomes SI: value in SI = value * factor + offset. */
export type UnitFactor = {
  readonly dimension: Dimension;
  readonly factor: number;
  /** Other than 0 only where zero of the unit is not zero of the quantity. */
  readonly offset: number;
};

/**
 * The value of a quantity in the SI unit of its dimension.
 *
 * N·m for torque, kPa for pressure, W for heat rate, J for energy, kg for mass, m for length, s for
 * time, 1 for a ratio, K for temperature.
 *
 * Example: `toSi({ value: 1, unit: "psi" })` is 6.894757293168361.
 *
 * Errors: none.
 */
export function toSi(quantity: Quantity): number {
  const { factor, offset } = unitFactors[quantity.unit];
  return quantity.value * factor + offset;
}

/**
 * The value of a quantity in another unit of the same dimension.
 *
 * In its own unit it is the value as typed, to the last bit.
 *
 * Errors: an assertion if the units measure different things; the reader of procedures refuses
 * those.
 */
export function convert(quantity: Quantity, unit: Unit): number {
  if (quantity.unit === unit) return quantity.value;
  const to = unitFactors[unit];
  assert(unitFactors[quantity.unit].dimension === to.dimension, "both units measure the same");
  return (toSi(quantity) - to.offset) / to.factor;
}

/** What a unit measures. */
export function dimensionOf(unit: Unit): Dimension {
  return unitFactors[unit].dimension;
}

/** Every unit with its dimension and its factor to the SI unit that `toSi` names. */
export const unitFactors: Readonly<Record<Unit, UnitFactor>> = {
  N·m: scaled("torque", 1),
  // The exact decimal; its nearest double happens to be spelled with a 3 at the end.
  // oxlint-disable-next-line no-loss-of-precision
  ft·lbf: scaled("torque", 1.3558179483314004),
  in·lbf: scaled("torque", 0.1129848290276167),
  kPa: scaled("pressure", 1),
  psi: scaled("pressure", 6.894757293168361),
  mmHg: scaled("pressure", 101.325 / 760),
  W: scaled("heat-rate", 1),
  "Btu/h": scaled("heat-rate", 0.2930710701722222),
  "kcal/h": scaled("heat-rate", 1.163),
  W·h: scaled("energy", 3600),
  kg: scaled("mass", 1),
  g: scaled("mass", 0.001),
  lb: scaled("mass", 0.45359237),
  m: scaled("length", 1),
  ft: scaled("length", 0.3048),
  s: scaled("time", 1),
  min: scaled("time", 60),
  "%": scaled("ratio", 0.01),
  "1": scaled("ratio", 1),
  "°C": { dimension: "temperature", factor: 1, offset: 273.15 },
};

/** Every unit symbol. */
export const units = Object.keys(unitFactors) as Unit[];

function scaled(dimension: Dimension, factor: number): UnitFactor {
  return { dimension, factor, offset: 0 };
}
