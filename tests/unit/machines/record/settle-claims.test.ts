// Wrong clocks in a run: who is believed, and what becomes of the others. Records by hand; the hub's
// time is known to the record that writes them, so the true order is the order of writing.

import { expect, test } from "vitest";
import type { Entry } from "../../../../machines/record/entry.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { anEmptyRecord, opening } from "../../../support/a-record.ts";
import type { RecordInWriting } from "../../../support/a-record.ts";

const hoursMs = 7_200_000;
const note = (text: string) => ({ kind: "note.added", text, step: null, oddity: false }) as const;
const sampled = (offsetMs: number) =>
  ({ kind: "clock.sampled", offsetMs, roundTripMs: 80 }) as const;

const nameOf = ({ device, seq }: Entry): string => `${device}:${seq}`;

// A desk and a reader whose clocks the hub has checked, and a tablet that never met it.
function aRecordWith(tabletSkewMs: number): RecordInWriting {
  const record = anEmptyRecord(false);
  record.addDevice("desk");
  record.addDevice("reader");
  record.addDevice("tablet", null, tabletSkewMs);
  record.tap("desk", opening);
  record.tap("desk", sampled(0));
  record.tap("reader", sampled(0));
  return record;
}

function checkTrueOrder(record: RecordInWriting): void {
  const { ordered } = orderEntries(record.entries);
  expect(ordered.map(({ entry }) => nameOf(entry))).toEqual(record.entries.map(nameOf));
}

// What each entry's time is more than when it was truly made, by name, the wrong ones only.
function wrongTimes(record: RecordInWriting, trueMs: ReadonlyMap<string, number>): unknown {
  const { ordered } = orderEntries(record.entries);
  const wrong = ordered
    .map(({ entry, atMs }) => [nameOf(entry), atMs - (trueMs.get(nameOf(entry)) ?? atMs)] as const)
    .filter(([, byMs]) => byMs !== 0);
  return Object.fromEntries(wrong);
}

test("[settle-claims 1] a fast clock that never met the hub pulls nobody's later times forward", () => {
  const record = aRecordWith(hoursMs);
  record.tap("tablet", note("said at noon, says its clock at two"), { hears: "nobody" });
  const trueMs = new Map<string, number>();
  for (const device of ["reader", "desk", "reader", "desk"]) {
    const { seq } = record.tap(device, note("heard it"));
    trueMs.set(`${device}:${seq}`, record.nowMs());
  }
  checkTrueOrder(record);
  expect(wrongTimes(record, trueMs)).toEqual({});
});

test("[settle-claims 2] a tablet two hours fast debriefs in true order, its intervals kept", () => {
  const record = aRecordWith(hoursMs);
  const trueMs = new Map<string, number>();
  for (const [device, hears] of [
    ["tablet", "nobody"],
    ["desk", "nobody"],
    ["tablet", "nobody"],
    ["reader", "nobody"],
    ["tablet", "nobody"],
    // The reader hears it after a second; others, as a bundle is carried, later.
    ["reader", "everybody"],
    ["tablet", "nobody"],
    ["desk", "everybody"],
  ] as const) {
    const afterMs = device === "reader" && hears === "everybody" ? 1_000 : 10_000;
    const { seq } = record.tap(device, note(""), { hears, afterMs });
    trueMs.set(`${device}:${seq}`, record.nowMs());
  }
  checkTrueOrder(record);
  // The tightest bearing is that second: the tablet's times are put so much too late, and no more.
  const tablets = [1, 2, 3, 4].map((seq) => [`tablet:${seq}`, 1_000]);
  expect(wrongTimes(record, trueMs)).toEqual(Object.fromEntries(tablets));
});

test("[settle-claims 2] a tablet two hours slow debriefs in true order", () => {
  const record = aRecordWith(-hoursMs);
  for (const [device, hears] of [
    ["reader", "nobody"],
    ["tablet", "everybody"],
    ["desk", "nobody"],
    ["tablet", "nobody"],
    ["reader", "nobody"],
  ] as const) {
    record.tap(device, note(""), { hears, afterMs: 100_000 });
  }
  const { ordered } = orderEntries(record.entries);
  // Least shift: the tablet's first is put where what it had heard was, 100 s too early.
  const names = ordered.slice(3).map(({ entry }) => nameOf(entry));
  expect(names).toEqual(["reader:2", "tablet:1", "desk:3", "tablet:2", "reader:3"]);
});

test("[settle-claims 1] a tablet set back two hours in mid-run debriefs in true order", () => {
  const record = aRecordWith(0);
  const tablet = record.addDevice("ev1");
  const desk = (): unknown => record.tap("desk", note(""), { hears: "nobody" });
  record.tap("ev1", sampled(0), { hears: "nobody" });
  desk();
  record.tap("ev1", note("before"), { hears: "nobody" });
  tablet.skewMs = -hoursMs;
  record.tap("ev1", { kind: "clock.jumped", byMs: -hoursMs }, { hears: "nobody" });
  desk();
  record.tap("ev1", note("after"), { hears: "nobody" });
  desk();
  checkTrueOrder(record);
});

test("[settle-claims 4] an entry from the future is brought back by the first that hears of it", () => {
  const record = aRecordWith(0);
  const tablet = record.devices.get("tablet");
  expect(tablet).toBeDefined();
  record.tap("tablet", note("sound"), { hears: "nobody" });
  if (tablet !== undefined) tablet.skewMs = 75 * 365 * 86_400_000;
  record.tap("tablet", note("from the future"), { hears: "nobody" });
  if (tablet !== undefined) tablet.skewMs = 0;
  record.tap("tablet", note("sound again"), { hears: "nobody" });
  const trueMs = new Map<string, number>();
  for (const device of ["reader", "desk", "tablet", "reader"]) {
    const { seq } = record.tap(device, note("heard it"));
    trueMs.set(`${device}:${seq}`, record.nowMs());
  }
  checkTrueOrder(record);
  expect(wrongTimes(record, trueMs)).toEqual({});
});

test("[settle-claims 1] without a hub the clock of whoever opened the run is the run's", () => {
  const record = anEmptyRecord(false);
  record.addDevice("desk");
  record.addDevice("tablet", null, hoursMs);
  record.tap("desk", opening);
  record.tap("tablet", note("two hours ahead"));
  const { seq } = record.tap("desk", note("heard it"));
  checkTrueOrder(record);
  const trueMs = new Map([[`desk:${seq}`, record.nowMs()]]);
  expect(wrongTimes(record, trueMs)).toEqual({});
});

test("[order 7] a time's error is its device's, and as much more as it was put later", () => {
  const record = aRecordWith(hoursMs);
  record.addDevice("late", null, -500);
  record.tap("late", sampled(0), { afterMs: 1000 });
  const { ordered } = orderEntries(record.entries);
  const errors = ordered.map(({ entry, errorMs }) => [nameOf(entry), errorMs]);
  // Half of 80 ms at a sample. The desk's opening came a minute before its first: 6 ms of drift
  // more. The late one's sample claims 500 ms before the true time, a second after what it heard.
  expect(errors).toEqual([
    ["desk:1", 46],
    ["desk:2", 40],
    ["reader:1", 40],
    ["late:1", 40],
  ]);
  record.tap("late", note("slow by a minute, it says"), { afterMs: 100 });
  const slow = record.entries.map((entry) =>
    entry.device === "late" && entry.seq === 1 ? { ...entry, body: sampled(-60_000) } : entry,
  );
  // Its sample now says a minute earlier; it had seen the reader's, 60,500 - 1000 ms later.
  const late = orderEntries(slow).ordered.filter(({ entry }) => entry.device === "late");
  expect(late[0]?.errorMs).toBe(40 + 59_500);
});

test("[settle-claims 3] where both are asked for, what a reference saw is not after the seeing", () => {
  const record = aRecordWith(0);
  const tablet = record.devices.get("tablet");
  // It had seen the reader, by its clock long before; then it was set ahead, unnoticed, and seen.
  if (tablet !== undefined) tablet.skewMs = -hoursMs;
  record.tap("tablet", note("slow"), { hears: ["reader"] });
  if (tablet !== undefined) tablet.skewMs = hoursMs;
  record.tap("tablet", note("fast"), { hears: "nobody" });
  const { seq } = record.tap("reader", note("heard it"));
  checkTrueOrder(record);
  expect(wrongTimes(record, new Map([[`reader:${seq}`, record.nowMs()]]))).toEqual({});
});

test("[settle-claims 5] where nobody opened the run and no clock was checked, wall clocks stand", () => {
  const record = anEmptyRecord(false);
  record.addDevice("a", null, hoursMs);
  record.addDevice("b");
  record.tap("a", note("fast"));
  record.tap("b", note("heard it"), { hears: "nobody" });
  const { ordered } = orderEntries(record.entries);
  expect(ordered.map(({ entry, atMs }) => [nameOf(entry), atMs - entry.wallMs])).toEqual([
    ["b:1", 0],
    ["a:1", 0],
  ]);
});
