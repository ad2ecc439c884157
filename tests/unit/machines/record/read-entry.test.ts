// Reading entries: what passes, what does not, and where the fault lies.

import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import type { Entry, EntryBody } from "../../../../machines/record/entry.ts";
import {
  entryKinds,
  entryMembersMax,
  freeTextCharactersMax,
  isNextEntry,
  readEntry,
} from "../../../../machines/record/read-entry.ts";

const hex = "0".repeat(64);
const samples: readonly unknown[] = [
  { kind: "run.opened", procedure: hex, title: "Dry run", deviceName: "Desk", recovery: null },
  { kind: "run.started" },
  { kind: "run.terminated", reason: "time" },
  { kind: "run.aborted", reason: "" },
  { kind: "run.real-stop-called", reason: "diver" },
  { kind: "run.real-stop-acknowledged" },
  { kind: "run.resumed", reason: "all well" },
  { kind: "run.closing-started" },
  { kind: "run.closed" },
  { kind: "device.joined", joined: "tablet-2", role: "crew", lane: "ev1", deviceName: "EV1" },
  { kind: "device.struck-off", struckOff: "tablet-2", reason: "lost" },
  { kind: "step.started", step: "s1" },
  { kind: "step.done", step: "s1" },
  { kind: "step.partly-done", step: "s1", remains: "two bolts" },
  { kind: "step.deferred", step: "s1", reason: "time" },
  { kind: "step.not-performed", step: "s1", reason: "time" },
  { kind: "branch.chosen", step: "s1", branch: "stuck" },
  { kind: "gate.acknowledged", step: "s1", gate: "caution-1" },
  { kind: "gate.readback-confirmed", step: "s1", gate: "warning-1" },
  { kind: "gate.go-given", step: "s1", gate: "go" },
  { kind: "gate.count-reported", step: "s1", gate: "bolts", count: 4 },
  { kind: "gate.reading-reported", step: "s1", gate: "torque", value: 9.2, unit: "N·m" },
  { kind: "gate.overridden", step: "s1", gate: "torque", reason: "gauge broken" },
  { kind: "hold.raised", scope: { covers: "everyone" }, reason: "comm", inject: null },
  { kind: "hold.raised", scope: { covers: "lane", lane: "ev1" }, reason: "glove", inject: "i1" },
  { kind: "hold.raised", scope: { covers: "task", task: "t1" }, reason: "arm", inject: null },
  { kind: "hold.acknowledged", hold: "tablet-1:4", lane: "ev1" },
  { kind: "hold.released", hold: "tablet-1:4" },
  { kind: "hold.requested", reason: "tank light" },
  { kind: "inject.armed", inject: "i1", trigger: { byHand: true } },
  { kind: "inject.armed", inject: "i1", trigger: { step: "s1" } },
  { kind: "inject.armed", inject: "i1", trigger: { atSeconds: 90 } },
  { kind: "inject.fired", inject: "i1", name: "Lost loop", card: "No voice", shownTo: ["ev1"] },
  { kind: "inject.responded", inject: "i1", text: "hand signals" },
  { kind: "inject.graded", inject: "i1", grade: "met", remark: "" },
  { kind: "inject.cleared", inject: "i1" },
  { kind: "check.recorded", check: "suit", readings: { oxygen: 80.5 } },
  { kind: "item.sighted", item: "bag", at: { site: "bay-7" } },
  { kind: "item.sighted", item: "tool", at: { item: "bag" } },
  { kind: "item.sighted", item: "tool", at: { position: "ev1" } },
  { kind: "note.added", text: "odd sound", step: null, oddity: true },
  { kind: "entry.withdrawn", withdrawn: { device: "tablet-2", seq: 3 }, reason: "mis-tap" },
  { kind: "clock.sampled", offsetMs: -12.5, roundTripMs: 60 },
  { kind: "clock.jumped", byMs: 7200000 },
  { kind: "entry.withheld", digest: hex },
] satisfies readonly SampleBody[];

type SampleBody = { kind: EntryBody["kind"] } & Record<string, unknown>;

function entryWith(changes: Record<string, unknown>): Record<string, unknown> {
  const body = { kind: "run.started" };
  const head = { run: "run-1", device: "tablet-1", seq: 2, prev: hex, wallMs: 1000 };
  return { ...head, seen: { "tablet-2": 4 }, position: null, body, ...changes };
}

test("[read-entry 1] [read-entry 3] every kind has a sample, and every sample passes unchanged", () => {
  const sampled = new Set(samples.map((body) => (body as SampleBody).kind));
  expect([...entryKinds].filter((kind) => !sampled.has(kind))).toEqual([]);
  for (const body of samples) {
    const value = entryWith({ body });
    const before = canonicalJson(value);
    const read = readEntry(value);
    expect(read.faults).toEqual([]);
    expect(read.value).toBe(value);
    expect(canonicalJson(read.value)).toBe(before);
  }
});

test("[read-entry 1] a body lacking a member, or with one too many, is refused", () => {
  for (const body of samples as readonly SampleBody[]) {
    for (const name of Object.keys(body)) {
      const { [name]: _left, ...rest } = body;
      expect(readEntry(entryWith({ body: rest })).value, `${body.kind} without ${name}`).toBeNull();
    }
    expect(readEntry(entryWith({ body: { ...body, extra: 1 } })).value).toBeNull();
  }
});

function check(changes: Record<string, unknown>, paths: readonly string[]): void {
  const read = readEntry(entryWith(changes));
  expect(read.value).toBeNull();
  expect(read.faults.map((fault) => fault.path)).toEqual(paths);
}

test("[read-entry 1] values out of bounds are refused at their path", () => {
  check({ seq: 0 }, ["/seq"]);
  check({ seq: 1.5 }, ["/seq"]);
  check({ seq: 2 ** 53 }, ["/seq"]);
  check({ wallMs: 0.5 }, ["/wallMs"]);
  check({ wallMs: Number.NaN }, ["/wallMs"]);
  check({ prev: "00" }, ["/prev"]);
  check({ prev: null }, ["/prev"]);
  check({ seq: 1 }, ["/prev"]);
  check({ device: "__proto__" }, ["/device"]);
  check({ seen: { "tablet-1": 1 } }, ["/seen/tablet-1"]);
  check({ seen: { "tablet-2": -1 } }, ["/seen/tablet-2"]);
  check({ seen: [] }, ["/seen"]);
  check({ position: "" }, ["/position"]);
  check({ body: { kind: "run.exploded" } }, ["/body/kind"]);
  check({ body: null }, ["/body"]);
  check({ body: { kind: "note.added", text: "\uD800", step: null, oddity: false } }, [
    "/body/text",
  ]);
});

test("[read-entry 1] free text of the greatest length passes, one longer does not", () => {
  const text = "x".repeat(freeTextCharactersMax);
  const body = { kind: "run.aborted", reason: text };
  expect(readEntry(entryWith({ body })).faults).toEqual([]);
  check({ body: { kind: "run.aborted", reason: `${text}x` } }, ["/body/reason"]);
});

function manySeen(count: number): Record<string, number> {
  return Object.fromEntries(Array.from({ length: count }, (_, number) => [`wall-${number}`, 1]));
}

test("[read-entry 1] a next entry passes just when its whole does", () => {
  const changes: readonly Record<string, unknown>[] = [
    ...samples.map((body) => ({ body })),
    ...(samples as readonly SampleBody[]).map((body) => ({ body: { ...body, extra: 1 } })),
    ...[0, 1, 2, 1.5, 2 ** 53, -3, "2", null].map((seq) => ({ seq })),
    ...[0.5, Number.NaN, 8.64e15, 8.64e15 + 1, -8.64e15, -8.65e15, "now"].map((wallMs) => ({
      wallMs,
    })),
    ...[{}, { "tablet-1": 1 }, { wall: 0 }, { wall: 1.5 }, { wall: "1" }].map((seen) => ({ seen })),
    ...[manySeen(entryMembersMax), manySeen(entryMembersMax + 1)].map((seen) => ({ seen })),
    ...[null, {}, { kind: "run.exploded" }].map((body) => ({ body })),
  ];
  for (const change of changes) {
    const entry = entryWith(change);
    const isRight = readEntry(entry).value !== null;
    expect(isNextEntry(entry as Entry), JSON.stringify(change).slice(0, 200)).toBe(isRight);
  }
});

test("[read-entry 2] all faults are reported at once", () => {
  check({ seq: -1, wallMs: "now", body: { kind: "step.done", step: 7 } }, [
    "/seq",
    "/wallMs",
    "/body/step",
  ]);
});

test("[read-entry 2] anything at all is answered with faults, never with an exception", () => {
  for (const value of [undefined, null, 1, "x", [], () => 1, Object.create(null), new Map()]) {
    expect(readEntry(value).value).toBeNull();
    expect(readEntry(value).faults.length).toBeGreaterThan(0);
  }
});
