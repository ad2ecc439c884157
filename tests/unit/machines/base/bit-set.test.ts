// The table of bits against plain sets.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { addRow, createBitTable, hasBit, setBit } from "../../../../machines/base/bit-set.ts";

test("[bit-set 1] a row holds what was put in, by itself or with another row, and nothing else", () => {
  const acts = fc.array(
    fc.record({
      row: fc.nat(4),
      column: fc.nat(99),
      from: fc.option(fc.nat(4), { nil: null }),
    }),
  );
  fc.assert(
    fc.property(acts, (done) => {
      const table = createBitTable(5, 100);
      const sets = Array.from({ length: 5 }, () => new Set<number>());
      for (const { row, column, from } of done) {
        if (from === null) {
          setBit(table, row, column);
          sets[row]?.add(column);
        } else {
          addRow(table, from, row);
          for (const other of sets[from] ?? []) sets[row]?.add(other);
        }
      }
      const columns = Array.from({ length: 100 }, (_, column) => column);
      const held = sets.map((_, row) => columns.filter((column) => hasBit(table, row, column)));
      expect(held).toEqual(sets.map((set) => [...set].sort((a, b) => a - b)));
    }),
  );
});
