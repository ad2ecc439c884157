// The order of entries, against a slow and obvious one and against its own rules.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import { entryText } from "../../../../machines/record/digest-entry.ts";
import type { Entry } from "../../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { anEmptyRecord } from "../../../support/a-record.ts";
import { aRun } from "../../../support/a-run.ts";

const procedure = aProcedure();
const runs = fc.record({
  seed: fc.integer(),
  taps: fc.integer({ min: 10, max: 120 }),
  hearing: fc.constantFrom(0, 0.1, 0.5, 1),
});

function shuffled<Value>(values: readonly Value[], seed: number): Value[] {
  const random = createSeededRandom(seed);
  const rest = [...values];
  for (let end = rest.length; end > 1; end -= 1) {
    const place = random.nextBelow(end);
    const kept = rest[end - 1] as Value;
    rest[end - 1] = rest[place] as Value;
    rest[place] = kept;
  }
  return rest;
}

const nameOf = ({ device, seq }: Entry): string => `${device}:${seq}`;

// Everything that each entry covers, by walking back, the slow way.
function coveredBy(entries: readonly Entry[]): Map<string, Set<string>> {
  const byName = new Map(entries.map((entry) => [nameOf(entry), entry]));
  const lastOf = (device: string, most: number): number =>
    Math.min(most, entries.filter((entry) => entry.device === device).length);
  const covered = new Map<string, Set<string>>();
  const walk = (entry: Entry): Set<string> => {
    const known = covered.get(nameOf(entry));
    if (known !== undefined) return known;
    const names = new Set<string>();
    covered.set(nameOf(entry), names);
    const direct = Object.entries(entry.seen).map(([device, seq]) => [device, lastOf(device, seq)]);
    for (const [device, seq] of [...direct, [entry.device, entry.seq - 1] as const]) {
      const before = byName.get(`${device}:${seq}`);
      if (before === undefined) continue;
      names.add(nameOf(before));
      for (const name of walk(before)) names.add(name);
    }
    return names;
  };
  for (const entry of entries) walk(entry);
  return covered;
}

test("[order 1] every entry is in the order once", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const entries = aRun({ procedure, isChained: false, ...options });
      const { ordered, setAside } = orderEntries(entries);
      expect(setAside).toEqual([]);
      expect(new Set(ordered.map(({ entry }) => nameOf(entry))).size).toBe(entries.length);
      expect(ordered.length).toBe(entries.length);
    }),
    { numRuns: 50 },
  );
});

test("[order 2] what an entry covers comes before it", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const entries = aRun({ procedure, isChained: false, ...options });
      const covered = coveredBy(entries);
      const { ordered } = orderEntries(shuffled(entries, options.seed));
      const passed = new Set<string>();
      for (const { entry } of ordered) {
        for (const name of covered.get(nameOf(entry)) ?? []) expect(passed.has(name)).toBe(true);
        passed.add(nameOf(entry));
      }
    }),
    { numRuns: 50 },
  );
});

test("[order 3] any arrival, repetition and grouping gives the same bytes", () => {
  fc.assert(
    fc.property(runs, fc.integer(), fc.nat(), (options, seed, cut) => {
      const entries = aRun({ procedure, isChained: false, ...options });
      const expected = canonicalJson(orderEntries(entries));
      const arrived = shuffled(entries, seed);
      const place = cut % arrived.length;
      const copy = JSON.parse(JSON.stringify(arrived.slice(0, place))) as Entry[];
      const again = [...arrived.slice(place), ...arrived, ...copy];
      expect(canonicalJson(orderEntries(again))).toBe(expected);
    }),
    { numRuns: 50 },
  );
});

test("[order 4] effective times never fall, and are at least what they cover", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const entries = aRun({ procedure, isChained: false, ...options });
      const { ordered } = orderEntries(entries);
      const timesByName = new Map(ordered.map(({ entry, atMs }) => [nameOf(entry), atMs]));
      for (const [name, covered] of coveredBy(entries)) {
        for (const before of covered) {
          expect(timesByName.get(name)).toBeGreaterThanOrEqual(timesByName.get(before) as number);
        }
      }
      const times = ordered.map(({ atMs }) => atMs);
      expect(times).toEqual([...times].sort((a, b) => a - b));
    }),
    { numRuns: 50 },
  );
});

// A record of two devices that have not heard of each other.
function twoStrangers() {
  const record = anEmptyRecord(false);
  record.addDevice("b");
  record.addDevice("a");
  return record;
}

const note = (text: string) => ({ kind: "note.added", text, step: null, oddity: false }) as const;

function check(entries: readonly Entry[], names: readonly string[]): void {
  expect(orderEntries(entries).ordered.map(({ entry }) => nameOf(entry))).toEqual(names);
}

test("[order 4] at one time the device decides", () => {
  const record = twoStrangers();
  record.tap("b", note("b"), { hears: "nobody" });
  record.tap("a", note("a"), { hears: "nobody", afterMs: 0 });
  check(record.entries, ["a:1", "b:1"]);
});

test("[order 4] at one time the device decides, whichever waited longer", () => {
  const record = twoStrangers();
  record.addDevice("c");
  record.tap("a", note("first"), { hears: "nobody" });
  record.tap("c", note("c"), { hears: "nobody" });
  record.tap("b", note("b"), { hears: "nobody", afterMs: 0 });
  record.tap("a", note("a"), { hears: "nobody", afterMs: 0 });
  check(record.entries, ["a:1", "a:2", "b:1", "c:1"]);
});

test("[order 2] a clock that is two hours slow does not put an answer before its question", () => {
  const record = twoStrangers();
  record.addDevice("slow", null, -7_200_000);
  record.tap("b", note("question"));
  record.tap("slow", note("answer"));
  record.tap("a", note("later"), { hears: "nobody" });
  check(record.entries, ["b:1", "slow:1", "a:1"]);
});

test("[order 3] a clock that is two hours fast is put right by its samples", () => {
  const record = twoStrangers();
  record.addDevice("fast", null, 7_200_000);
  record.tap("fast", note("first"), { hears: "nobody" });
  record.tap("a", note("second"), { hears: "nobody" });
  const sampled = { kind: "clock.sampled", offsetMs: -7_200_000, roundTripMs: 10 } as const;
  record.tap("fast", sampled, { hears: "nobody" });
  check(record.entries, ["fast:1", "a:1", "fast:2"]);
});

test("[order 6] what comes after a gap is set aside until the gap fills", () => {
  const record = twoStrangers();
  for (const text of ["1", "2", "3"]) record.tap("a", note(text));
  record.tap("b", note("of b"));
  const [first, second, third, ofB] = record.entries as [Entry, Entry, Entry, Entry];
  const { ordered, setAside } = orderEntries([third, first, ofB]);
  expect(ordered.map(({ entry }) => nameOf(entry))).toEqual(["a:1", "b:1"]);
  expect(setAside).toEqual([{ entry: third, because: "gap" }]);
  check([third, ofB, second, first], ["a:1", "a:2", "a:3", "b:1"]);
});

test("[order 5] of a fork one is kept, whichever came first, and the other is set aside", () => {
  const record = twoStrangers();
  record.tap("a", note("left"));
  const [left] = record.entries as [Entry];
  const right = { ...left, body: note("right") };
  for (const entries of [
    [left, right],
    [right, left, right],
  ]) {
    const { ordered, setAside } = orderEntries(entries);
    expect(ordered.map(({ entry }) => entry)).toEqual([left]);
    expect(setAside).toEqual([{ entry: right, because: "fork" }]);
  }
  expect(entryText(left) < entryText(right)).toBe(true);
});

test("[order 5] a withheld entry's stand-in gives way to the entry", () => {
  const record = twoStrangers();
  record.tap("a", note("secret"));
  const [full] = record.entries as [Entry];
  const standIn: Entry = { ...full, body: { kind: "entry.withheld", digest: "0".repeat(64) } };
  expect(orderEntries([standIn]).ordered.map(({ entry }) => entry)).toEqual([standIn]);
  for (const entries of [
    [standIn, full],
    [full, standIn],
  ]) {
    const { ordered, setAside } = orderEntries(entries);
    expect(ordered.map(({ entry }) => entry)).toEqual([full]);
    expect(setAside).toEqual([]);
  }
});

test("[order 1] devices that claim to have seen each other's future lose no entry", () => {
  const record = twoStrangers();
  for (const name of ["a", "b", "a", "b"]) record.tap(name, note("x"), { hears: "nobody" });
  const lying = record.entries.map((entry) => {
    const other = entry.device === "a" ? "b" : "a";
    return { ...entry, seen: { [other as DeviceId]: 2 } };
  });
  const { ordered, setAside } = orderEntries(lying);
  expect(setAside).toEqual([]);
  expect(ordered.length).toBe(4);
  const times = ordered.map(({ atMs }) => atMs);
  expect(times).toEqual([...times].sort((a, b) => a - b));
  expect(canonicalJson(orderEntries(shuffled(lying, 7)))).toBe(canonicalJson(orderEntries(lying)));
});

test("[order 2] an entry that was seen but is not in the set is no bar", () => {
  const record = twoStrangers();
  record.tap("a", note("lost"));
  record.tap("b", note("kept"));
  check([record.entries[1] as Entry], ["b:1"]);
});

function aNote(
  name: string,
  seq: number,
  wallMs: number,
  seen: Readonly<Record<string, number>>,
): Entry {
  return {
    run: "desk.run" as RunId,
    device: name as DeviceId,
    seq,
    prev: null,
    wallMs,
    seen,
    position: null,
    body: { kind: "note.added", text: `${name} ${seq}`, step: null, oddity: false },
  };
}

test("[order 8] [overlook-claim 1] [overlook-claim 2] a liar's claims put no other device's entry before what it had seen of a third", () => {
  const entries = [
    // Claims to have seen what was written after it had been seen.
    aNote("liar", 1, 1_000, { honest: 2 }),
    aNote("honest", 1, 2_000, { liar: 1 }),
    aNote("honest", 2, 3_000, {}),
    // Waits for the two, and its clock is far behind.
    aNote("third", 1, 10, { honest: 2 }),
  ];
  const names = orderEntries(entries).ordered.map(({ entry: one }) => nameOf(one));
  expect(names.indexOf("honest:2")).toBeLessThan(names.indexOf("third:1"));
  expect(names).toHaveLength(entries.length);
});
