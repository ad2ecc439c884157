// The fold on random runs: pure, total, complete, convergent.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { GateId, StepId } from "../../../../machines/procedure/ids.ts";
import type { Entry, EntryBody } from "../../../../machines/record/entry.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import type { HoldId } from "../../../../machines/record/ids.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { readEntry } from "../../../../machines/record/read-entry.ts";
import { aFullProcedure } from "../../../support/a-full-procedure.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRun } from "../../../support/a-run.ts";

const procedure = aProcedure();
const index = indexProcedure(procedure);
const runs = fc.record({
  seed: fc.integer(),
  taps: fc.integer({ min: 10, max: 250 }),
  hearing: fc.constantFrom(0, 0.1, 0.5, 1),
});

const stateOf = (entries: Iterable<Entry>): string =>
  canonicalJson(foldRun(index, orderEntries(entries).ordered));

test("[fold 1] random runs pass the reader of entries and fold to the same bytes again", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const entries = aRun({ procedure, ...options });
      for (const entry of entries) expect(readEntry(entry).faults).toEqual([]);
      const copy = JSON.parse(JSON.stringify(entries)) as Entry[];
      expect(stateOf(copy)).toBe(stateOf(entries));
    }),
    { numRuns: 40 },
  );
});

test("[fold 1] any arrival, repetition and grouping gives the same bytes", () => {
  fc.assert(
    fc.property(runs, fc.integer(), (options, seed) => {
      const entries = aRun({ procedure, isChained: false, ...options });
      const random = createSeededRandom(seed);
      const drawn = entries.map((entry) => ({ entry, draw: random.nextUint32() }));
      const arrived = drawn.sort((a, b) => a.draw - b.draw).map(({ entry }) => entry);
      const twice = [...arrived, ...arrived.filter(() => random.nextBelow(3) === 0)];
      expect(stateOf(twice)).toBe(stateOf(entries));
    }),
    { numRuns: 60 },
  );
});

test("[fold 3] every entry has its log line, in order", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const { ordered } = orderEntries(aRun({ procedure, isChained: false, ...options }));
      const { log } = foldRun(index, ordered);
      const lines = ordered.map(({ entry, atMs }) => [entry.device, entry.seq, atMs]);
      expect(log.map(({ by, atMs }) => [by.device, by.seq, atMs])).toEqual(lines);
    }),
    { numRuns: 40 },
  );
});

test("[fold 1] every prefix of an order folds, and its log is a prefix but for withdrawals", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const { ordered } = orderEntries(aRun({ procedure, isChained: false, ...options }));
      const whole = foldRun(index, ordered);
      // A letter that comes later lets its device's earlier entries in, so begin after the last.
      const letters = ordered.findLastIndex(({ entry }) => entry.body.kind === "device.joined");
      for (let length = letters + 1; length <= ordered.length; length += 7) {
        const { log, variances } = foldRun(index, ordered.slice(0, length));
        const lines = log.map(({ kind, atMs }) => [kind, atMs]);
        expect(lines).toEqual(whole.log.slice(0, length).map(({ kind, atMs }) => [kind, atMs]));
        for (const variance of variances) expect(whole.variances).toContainEqual(variance);
      }
    }),
    { numRuns: 15 },
  );
});

test("[fold 4] a step that went through a closed gate has a variance that says so", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const { ordered } = orderEntries(aRun({ procedure, isChained: false, ...options }));
      const entryCounts = new Set<string>();
      for (let length = 1; length <= ordered.length; length += 1) {
        const before = foldRun(index, ordered.slice(0, length - 1));
        const { entry } = ordered[length - 1] as { entry: Entry };
        if (entry.body.kind !== "step.started") continue;
        const after = foldRun(index, ordered.slice(0, length));
        if (after.log.at(-1)?.outcome !== "applied") continue;
        const gates = Object.entries(before.steps[entry.body.step]?.gates ?? {});
        const closed = (index.gatesByStep.get(entry.body.step) ?? []).filter(
          (gate) =>
            gate.before === "start" &&
            gates.some(([id, { state }]) => id === gate.id && /closed|acknowledged/.test(state)),
        );
        const noted = after.variances.filter(
          ({ by, cause }) =>
            by.device === entry.device && by.seq === entry.seq && cause === "gate-closed",
        );
        expect(noted.length).toBe(closed.length > 0 ? 1 : 0);
        entryCounts.add(`${entry.device}:${entry.seq}`);
      }
    }),
    { numRuns: 10 },
  );
});

// Entries of random runs, of which steps, gates, holds and more have been replaced by garbage.
test("[fold 2] it never throws, whatever the entries say", () => {
  const garbageIds = ["__proto__", "constructor", "", "no-such", "ev1", "warning-1"];
  const garbage = fc.constantFrom(...garbageIds);
  fc.assert(
    fc.property(runs, garbage, fc.integer(), (options, id, seed) => {
      const random = createSeededRandom(seed);
      const entries = aRun({ procedure, isChained: false, ...options }).map((entry) =>
        random.nextBelow(3) === 0 ? { ...entry, body: spoil(entry.body, id) } : entry,
      );
      const { ordered } = orderEntries(entries);
      const state = foldRun(index, ordered);
      expect(state.log.length).toBe(ordered.length);
      expect(() => canonicalJson(state)).not.toThrow();
    }),
    { numRuns: 60 },
  );
});

function spoil(body: EntryBody, id: string): EntryBody {
  const spoiled: Record<string, unknown> = { ...body };
  for (const name of ["step", "gate", "hold", "inject", "branch", "lane", "item", "check"]) {
    if (name in spoiled && spoiled[name] !== null) spoiled[name] = id;
  }
  return spoiled as EntryBody;
}

test("[fold 2] it folds entries of every kind against the fullest procedure, in any order", () => {
  const full = aFullProcedure();
  const fullIndex = indexProcedure(full);
  fc.assert(
    fc.property(runs, (options) => {
      const entries = aRun({ procedure: full, isChained: false, ...options });
      const ordered = entries.map((entry) => ({ entry, atMs: entry.wallMs, errorMs: null }));
      expect(foldRun(fullIndex, ordered.toReversed()).log.length).toBe(entries.length);
      expect(foldRun(fullIndex, ordered).log.length).toBe(entries.length);
    }),
    { numRuns: 40 },
  );
});

test("[fold 2] a hold id or a step id that names a member of every object is no hold and no step", () => {
  const entries = aRun({ procedure, seed: 1, taps: 12 });
  const [first] = entries as [Entry];
  const bodies: EntryBody[] = [
    { kind: "hold.released", hold: "__proto__" as HoldId },
    { kind: "step.started", step: "constructor" as StepId },
    { kind: "gate.acknowledged", step: "ev1-torque" as StepId, gate: "toString" as GateId },
  ];
  const last = entries.filter(({ device }) => device === first.device).length;
  const added = bodies.map((body, place) => ({ ...first, seq: last + 1 + place, body }));
  const state = foldRun(index, orderEntries([...entries, ...added]).ordered);
  expect(state.log.filter(({ outcome }) => outcome === "no-effect").length).toBeGreaterThan(2);
});
