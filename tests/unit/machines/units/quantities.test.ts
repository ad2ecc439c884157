import * as fc from "fast-check";
import { expect, test } from "vitest";
import { convert, dimensionOf, toSi, units } from "../../../../machines/units/factors.ts";
import { formatNumber, formatQuantity } from "../../../../machines/units/format-quantity.ts";
import type { Quantity, Unit } from "../../../../machines/units/quantity.ts";

const unit = fc.constantFrom(...units);
const value = fc.double({ noNaN: true, min: -1e9, max: 1e9 });

test("[quantity 1] in its own unit a quantity is the typed value, to the last bit", () => {
  fc.assert(
    fc.property(value, unit, (typed, symbol) => {
      expect(convert({ value: typed, unit: symbol }, symbol)).toBe(typed);
    }),
  );
});

test("[factors] a conversion changes the number and not the quantity", () => {
  fc.assert(
    fc.property(value, unit, unit, (typed, from, to) => {
      fc.pre(dimensionOf(from) === dimensionOf(to));
      const quantity = { value: typed, unit: from };
      const converted = { value: convert(quantity, to), unit: to };
      const scale = Math.max(1, Math.abs(toSi(quantity)));
      expect(Math.abs(toSi(converted) - toSi(quantity)) / scale).toBeLessThan(1e-12);
    }),
  );
});

test("[factors] units of different things do not convert", () => {
  expect(() => convert({ value: 1, unit: "kg" }, "m")).toThrow("Assertion failed");
});

const formatted: readonly [value: number, from: Unit, to: Unit, text: string][] = [
  [12, "ft·lbf", "ft·lbf", "12 ft·lbf"],
  [0.1, "kPa", "kPa", "0.1 kPa"],
  [12, "ft·lbf", "N·m", "16 N·m"],
  [12.5, "ft·lbf", "N·m", "16.9 N·m"],
  [100, "psi", "kPa", "689 kPa"],
  [5, "min", "s", "300 s"],
  [-40, "°C", "°C", "−40 °C"],
  [1, "lb", "g", "450 g"],
  [0, "lb", "kg", "0 kg"],
  [0.002, "lb", "g", "0.91 g"],
  [1.5e21, "1", "1", "1500000000000000000000"],
  [95, "%", "%", "95 %"],
  [7, "1", "1", "7"],
  [1e-9, "kg", "kg", "0.000000001 kg"],
];

test.each(formatted)("[format-quantity 2] %d %s in %s is shown as %s", (typed, from, to, text) => {
  const quantity: Quantity = { value: typed, unit: from };
  const shown = formatQuantity(quantity, to).replaceAll("\u00A0", " ");
  expect(shown).toBe(text);
});

test("[format-quantity 2] a converted value has the digits of the typed one, at least two", () => {
  expect(formatQuantity({ value: 85, unit: "ft" }, "m")).toBe("26\u00A0m");
  expect(formatQuantity({ value: 5, unit: "ft" }, "m")).toBe("1.5\u00A0m");
});

test("[format-quantity 1] as typed, whatever the number of digits", () => {
  expect(formatQuantity({ value: 25.908, unit: "m" })).toBe("25.908\u00A0m");
});

test("[format-quantity 3] no number is shown in powers of ten, and none is off by more than its last digit", () => {
  const wide = fc
    .double({ noNaN: true, min: -1e18, max: 1e18 })
    .filter((number) => number === 0 || Math.abs(number) > 1e-200);
  fc.assert(
    fc.property(wide, fc.integer({ min: 1, max: 15 }), (number, digits) => {
      const text = formatNumber(number, digits);
      expect(text).toMatch(/^−?[0-9]+(\.[0-9]+)?$/);
      const read = Number(text.replace("−", "-"));
      expect(Math.abs(read - number)).toBeLessThanOrEqual(
        Math.abs(number) * 5.0001 * 10 ** -digits,
      );
    }),
    { numRuns: 2000 },
  );
});
