// The folded run as plain data that nothing changes any more.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { aFullProcedure } from "../../../support/a-full-procedure.ts";
import { aRun } from "../../../support/a-run.ts";

const procedure = aFullProcedure();
const index = indexProcedure(procedure);
const runs = fc.record({ seed: fc.integer(), taps: fc.integer({ min: 30, max: 200 }) });

test("[state-of-run 1] the state is what its own JSON says, through and through", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const entries = aRun({ procedure, isChained: false, ...options });
      const state = foldRun(index, orderEntries(entries).ordered);
      expect(() => canonicalJson(state)).not.toThrow();
      expect(JSON.parse(JSON.stringify(state))).toStrictEqual(state);
    }),
    { numRuns: 40 },
  );
});

test("[state-of-run 1] a later fold changes nothing in a state that was given before", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const { ordered } = orderEntries(aRun({ procedure, isChained: false, ...options }));
      const half = Math.floor(ordered.length / 2);
      const early = foldRun(index, ordered.slice(0, half));
      const before = canonicalJson(early);
      foldRun(index, ordered);
      expect(canonicalJson(early)).toBe(before);
    }),
    { numRuns: 30 },
  );
});
