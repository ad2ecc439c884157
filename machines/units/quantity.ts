// Quantities: a number with the unit it was typed in.
//
// [quantity 1] A quantity keeps the value and the unit that were typed; it is converted when used
//   and never converted back.

/** Unit symbols that a quantity may be typed in; `factors.ts` has their factors to SI. */
export type Unit =
  | "N·m"
  | "ft·lbf"
  | "in·lbf"
  | "kPa"
  | "psi"
  | "mmHg"
  | "W"
  | "Btu/h"
  | "kcal/h"
  | "W·h"
  | "kg"
  | "g"
  | "lb"
  | "m"
  | "ft"
  | "s"
  | "min"
  | "%"
  | "°C"
  | "1";

/** A number with the unit it was typed in. */
export type Quantity = { readonly value: number; readonly unit: Unit };

/** What a unit measures; only units of one dimension convert into each other. */
export type Dimension =
  | "torque"
  | "pressure"
  | "heat-rate"
  | "energy"
  | "mass"
  | "length"
  | "time"
  | "ratio"
  | "temperature";
