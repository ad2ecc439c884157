// The running order: where it begins to differ when something comes.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { addToOrder, emptyOrder, setAsideOf } from "../../../../machines/record/running-order.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRun } from "../../../support/a-run.ts";

const procedure = aProcedure();
const runs = fc.record({
  seed: fc.integer(),
  taps: fc.integer({ min: 10, max: 150 }),
  hearing: fc.constantFrom(0, 0.1, 0.5, 1),
});

test("[running-order 1] [running-order 2] additions say from where the order is another, and it is right", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const entries = aRun({ procedure, isChained: false, ...options });
      const random = createSeededRandom(options.seed);
      const arrived = entries
        .map((entry, place) => ({ entry, at: place + random.nextBelow(40) }))
        .sort((a, b) => a.at - b.at)
        .map(({ entry }) => entry);
      const order = emptyOrder();
      for (const entry of arrived) {
        const before = [...order.ordered];
        const from = addToOrder(order, [entry]);
        expect(order.ordered.slice(0, from)).toEqual(before.slice(0, from));
        if (from < before.length) expect(order.ordered[from]).not.toEqual(before[from]);
      }
      const { ordered, setAside } = orderEntries(entries);
      expect(canonicalJson(order.ordered)).toBe(canonicalJson(ordered));
      expect(canonicalJson(setAsideOf(order))).toBe(canonicalJson(setAside));
    }),
    { numRuns: 40 },
  );
});
