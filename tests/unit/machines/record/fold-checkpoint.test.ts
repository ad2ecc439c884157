// Checkpoints: a run goes back, goes on another way, and comes back again.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { admitDevices, authorAt } from "../../../../machines/record/admit-devices.ts";
import { goBackTo, takeCheckpoint } from "../../../../machines/record/fold-checkpoint.ts";
import { foldNext } from "../../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import type { OrderedEntry } from "../../../../machines/record/order-entries.ts";
import { beginRun } from "../../../../machines/record/run-in-fold.ts";
import type { RunInFold } from "../../../../machines/record/run-in-fold.ts";
import { stateOfRun } from "../../../../machines/record/state-of-run.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRun } from "../../../support/a-run.ts";

const procedure = aProcedure();
const index = indexProcedure(procedure);

test("[fold-checkpoint 1] [fold-checkpoint 2] [run-in-fold 1] a run that went back, twice, is what it was", () => {
  fc.assert(
    fc.property(fc.integer(), fc.integer({ min: 0, max: 100 }), (seed, percent) => {
      const entries = aRun({ procedure, isChained: false, seed, taps: 120 });
      const { ordered } = orderEntries(entries);
      const admissions = admitDevices(ordered);
      const foldAll = (run: RunInFold, next: readonly OrderedEntry[]): void => {
        for (const one of next) {
          foldNext(run, one, authorAt(admissions, one.entry.device, ordered.indexOf(one)));
        }
      };
      const place = Math.floor((ordered.length * percent) / 100);
      const rest = ordered.slice(place);
      let run = beginRun(index);
      foldAll(run, ordered.slice(0, place));
      const checkpoint = takeCheckpoint(run);
      const then = canonicalJson(stateOfRun(run, admissions));
      foldAll(run, rest);
      const whole = canonicalJson(stateOfRun(run, admissions));
      for (const other of [rest.filter((_, at) => at % 3 === 0), []]) {
        run = goBackTo(run, checkpoint);
        expect(canonicalJson(stateOfRun(run, admissions))).toBe(then);
        foldAll(run, other);
        run = goBackTo(run, checkpoint);
        foldAll(run, rest);
        expect(canonicalJson(stateOfRun(run, admissions))).toBe(whole);
      }
    }),
    { numRuns: 30 },
  );
});
