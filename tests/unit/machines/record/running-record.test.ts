// The running record against order and fold from scratch, however entries arrive.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../../../machines/base/seeded-random.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { Entry, EntryBody } from "../../../../machines/record/entry.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import {
  addEntries,
  emptyRunningRecord,
  orderOfRecord,
  stateOfRecord,
} from "../../../../machines/record/running-record.ts";
import type { RunningRecord } from "../../../../machines/record/running-record.ts";
import { setAsideOf } from "../../../../machines/record/running-order.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRun } from "../../../support/a-run.ts";

const procedure = aProcedure();
const index = indexProcedure(procedure);
const runs = fc.record({
  seed: fc.integer(),
  taps: fc.integer({ min: 10, max: 150 }),
  hearing: fc.constantFrom(0, 0.1, 0.5, 1),
  strays: fc.constantFrom(0.2, 1),
});

function bytesOf(record: RunningRecord): readonly string[] {
  return [
    canonicalJson(orderOfRecord(record)),
    canonicalJson(setAsideOf(record.order)),
    canonicalJson(stateOfRecord(record)),
  ];
}

function bytesFromScratch(entries: readonly Entry[]): readonly string[] {
  const { ordered, setAside } = orderEntries(entries);
  return [ordered, setAside, foldRun(index, ordered)].map((part) => canonicalJson(part));
}

// What a run of good devices has not: letters and samples written late, forks, gaps, stand-ins,
// entries that claim to have seen the future, wild clocks.
function roughen(entries: readonly Entry[], random: SeededRandom): Entry[] {
  const devices = [...new Set(entries.map(({ device }) => device))];
  const aDevice = (): DeviceId => devices[random.nextBelow(devices.length)] as DeviceId;
  return entries.flatMap((entry): Entry[] => {
    const draw = random.nextBelow(60);
    const { run, device, seq, prev, wallMs, seen, position } = entry;
    const rest = { run, device, seq, prev, wallMs, seen, position };
    const withBody = (body: EntryBody): Entry[] => [{ ...rest, body }];
    if (draw === 0) {
      return withBody({ kind: "device.struck-off", struckOff: aDevice(), reason: "lost" });
    }
    if (draw === 1) {
      const roles = ["director", "crew", "observer"] as const;
      const role = roles[random.nextBelow(3)] ?? "crew";
      const joined = aDevice();
      return withBody({ kind: "device.joined", joined, role, lane: null, deviceName: "late" });
    }
    if (draw === 2) {
      const offsetMs = random.nextBelow(7_200_000) - 3_600_000;
      return withBody({ kind: "clock.sampled", offsetMs, roundTripMs: random.nextBelow(500) });
    }
    if (draw === 3) {
      return withBody({ kind: "clock.jumped", byMs: random.nextBelow(7_200_000) - 3_600_000 });
    }
    if (draw === 4) {
      return [
        entry,
        ...withBody({ kind: "note.added", text: "forked", step: null, oddity: false }),
      ];
    }
    if (draw === 5) {
      return [entry, ...withBody({ kind: "entry.withheld", digest: "0".repeat(64) })];
    }
    if (draw === 6) return random.nextBelow(4) === 0 ? [] : [entry];
    if (draw === 7) {
      const more = (seen[aDevice()] ?? 0) + random.nextBelow(30);
      return [{ ...entry, seen: { ...seen, [aDevice()]: more } }];
    }
    if (draw === 8)
      return [{ ...entry, wallMs: wallMs + (random.nextBelow(2 ** 30) - 2 ** 29) * 1000 }];
    return [entry];
  });
}

// Mostly as written; now and then an entry is held back for a while, or comes twice.
function arrival(entries: readonly Entry[], random: SeededRandom, latest: number): Entry[] {
  const timed = entries.flatMap((entry, place) => {
    const late = random.nextBelow(5) === 0 ? random.nextBelow(latest + 1) : 0;
    const first = { entry, at: place + late };
    const copy = structuredClone(entry);
    return random.nextBelow(8) === 0
      ? [first, { entry: copy, at: place + random.nextBelow(latest + 1) }]
      : [first];
  });
  return timed.sort((a, b) => a.at - b.at).map(({ entry }) => entry);
}

function checkArrival(entries: readonly Entry[], random: SeededRandom, latest: number): void {
  const record = emptyRunningRecord(index);
  const arrived = arrival(entries, random, latest);
  let place = 0;
  while (place < arrived.length) {
    const length = random.nextBelow(4) === 0 ? random.nextBelow(40) : 1 + random.nextBelow(3);
    addEntries(record, arrived.slice(place, place + length));
    place += length;
    if (random.nextBelow(25) === 0) {
      expect(bytesOf(record)).toEqual(bytesFromScratch(arrived.slice(0, place)));
    }
  }
  expect(bytesOf(record)).toEqual(bytesFromScratch(arrived));
  expect(bytesOf(record)).toEqual(bytesFromScratch(entries));
}

test("[running-record 1] good devices' entries, in any arrival, give the bytes of a whole fold", () => {
  fc.assert(
    fc.property(runs, fc.constantFrom(0, 10, 1000), (options, latest) => {
      const entries = aRun({ procedure, isChained: false, ...options });
      checkArrival(entries, createSeededRandom(options.seed), latest);
    }),
    { numRuns: 40 },
  );
});

test("[running-record 1] so do late letters, late samples, forks, gaps, stand-ins and lies", () => {
  fc.assert(
    fc.property(runs, fc.constantFrom(0, 10, 1000), (options, latest) => {
      const random = createSeededRandom(options.seed);
      const entries = roughen(aRun({ procedure, isChained: false, ...options }), random);
      checkArrival(entries, random, latest);
    }),
    { numRuns: 80 },
  );
});

test("[running-record 1] a state that was taken is not changed by what comes after", () => {
  fc.assert(
    fc.property(runs, (options) => {
      const entries = aRun({ procedure, isChained: false, ...options });
      const record = emptyRunningRecord(index);
      const taken: (readonly [unknown, string])[] = [];
      for (const entry of arrival(entries, createSeededRandom(options.seed), 20)) {
        addEntries(record, [entry]);
        const state = stateOfRecord(record);
        if (entry.seq % 3 === 0) taken.push([state, canonicalJson(state)]);
      }
      for (const [state, text] of taken) expect(canonicalJson(state)).toBe(text);
    }),
    { numRuns: 8 },
  );
});

test("[running-record 3] there are few checkpoints, and one not far before any place", () => {
  const entries = aRun({ procedure, isChained: false, seed: 7, taps: 3000, strays: 0.1 });
  const record = emptyRunningRecord(index);
  for (let place = 0; place < entries.length; place += 11) {
    addEntries(record, entries.slice(place, place + 11));
  }
  const places = record.checkpoints.map(({ place }) => place);
  expect(places.length).toBeLessThanOrEqual(4 * Math.log2(entries.length / 64) + 4);
  for (let place = 0; place < entries.length; place += 1) {
    const before = places.findLast((one) => one <= place) ?? -1;
    expect(place - before).toBeLessThanOrEqual(64 + (entries.length - place) / 2);
  }
});

test("[running-record 1] ten thousand entries at once, under a person's taps, give the same bytes", () => {
  const options = { procedure, isChained: false, strays: 0.05, spareDevicesPerLane: 3 };
  const entries = aRun({ ...options, seed: 11, taps: 10_200 });
  const [own] = entries as [Entry];
  const isTap = ({ device, seq }: Entry): boolean => device === own.device && seq > 20;
  const taps = entries.filter(isTap);
  const others = entries.filter((entry) => !isTap(entry));
  const record = emptyRunningRecord(index);
  for (const tap of taps.slice(0, 20)) addEntries(record, [tap]);
  addEntries(record, [...others, ...taps.slice(20, -20)]);
  for (const tap of taps.slice(-20)) addEntries(record, [tap]);
  expect(others.length).toBeGreaterThan(9_000);
  expect(taps.length).toBeGreaterThan(40);
  expect(bytesOf(record)).toEqual(bytesFromScratch(entries));
});

test("[running-record 2] one late entry goes back to a checkpoint, not to the start", () => {
  const entries = aRun({ procedure, isChained: false, seed: 5, taps: 2_000, strays: 0.1 });
  const { ordered } = orderEntries(entries);
  const last = ordered
    .slice(1_500, -200)
    .find(({ entry }) => entry.body.kind === "note.added")?.entry;
  expect(last).toBeDefined();
  if (last === undefined) return;
  const kept = entries.filter(({ device, seq }) => device !== last.device || seq < last.seq);
  const record = emptyRunningRecord(index);
  addEntries(record, kept);
  const before = record.checkpoints;
  addEntries(record, [last]);
  const shared = record.checkpoints.filter((one) => before.includes(one));
  const place = orderOfRecord(record).findIndex(({ entry }) => entry === last);
  expect(shared.length).toBeGreaterThan(3);
  expect(shared.at(-1)?.place ?? 0).toBeGreaterThan(place - (kept.length - place) / 2 - 64);
  expect(bytesOf(record)).toEqual(bytesFromScratch([...kept, last]));
});
