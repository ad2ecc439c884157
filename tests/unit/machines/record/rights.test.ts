// Who may write what: every role against every kind of entry.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type {
  BranchId,
  CheckId,
  GateId,
  Identity,
  InjectId,
  ItemId,
  PositionId,
  SiteId,
  StepId,
  TaskId,
} from "../../../../machines/procedure/ids.ts";
import type { EntryBody, EntryKind, Role } from "../../../../machines/record/entry.ts";
import type { DeviceId, HoldId } from "../../../../machines/record/ids.ts";
import { entryKinds } from "../../../../machines/record/read-entry.ts";
import { mayWrite } from "../../../../machines/record/rights.ts";
import { aProcedure } from "../../../support/a-procedure.ts";

const index = indexProcedure(aProcedure());
const device = "mine" as DeviceId;
const reason = "test";
const ev1 = "ev1" as PositionId;

const authors = {
  director: { device, role: "director" as Role, lane: null },
  reader: { device, role: "reader" as Role, lane: "iv" as PositionId },
  crew: { device, role: "crew" as Role, lane: ev1 },
  support: { device, role: "support" as Role, lane: ev1 },
  floater: { device, role: "support" as Role, lane: null },
  observer: { device, role: "observer" as Role, lane: null },
  stranger: { device, role: null, lane: null },
};
type Name = keyof typeof authors;

const own = { step: "ev1-torque" as StepId };
const other = { step: "ev2-seal" as StepId };
const warning = { gate: "warning-1" as GateId };
const inject = "i" as InjectId;
const hold = "mine:4" as HoldId;

type Case = readonly [body: EntryBody, who: readonly Name[]];
const anyone = Object.keys(authors) as Name[];
const onlyDirector: readonly Name[] = ["director"];
const ofOwnLane: readonly Name[] = ["director", "reader", "crew", "support"];
const ofEveryLane: readonly Name[] = ["director", "reader"];
const people: readonly Name[] = ["director", "reader", "crew", "support", "floater"];

const cases: readonly Case[] = [
  [
    {
      kind: "run.opened",
      procedure: "" as Identity,
      title: "",
      deviceName: "",
      recovery: null,
    },
    onlyDirector,
  ],
  [{ kind: "run.started" }, onlyDirector],
  [{ kind: "run.terminated", reason }, ["director", "reader", "crew"]],
  [{ kind: "run.aborted", reason }, onlyDirector],
  [{ kind: "run.real-stop-called", reason }, anyone],
  [{ kind: "run.real-stop-acknowledged" }, anyone],
  [{ kind: "run.resumed", reason }, onlyDirector],
  [{ kind: "run.closing-started" }, onlyDirector],
  [{ kind: "run.closed" }, onlyDirector],
  [
    { kind: "device.joined", joined: device, role: "director", lane: null, deviceName: "" },
    onlyDirector,
  ],
  [{ kind: "device.struck-off", struckOff: device, reason }, onlyDirector],
  [{ kind: "step.started", ...own }, ofOwnLane],
  [{ kind: "step.started", ...other }, ofEveryLane],
  [{ kind: "step.started", step: "no-such" as StepId }, ofEveryLane],
  [{ kind: "step.done", ...own }, ofOwnLane],
  [{ kind: "step.partly-done", ...own, remains: "" }, ofOwnLane],
  [{ kind: "step.deferred", ...own, reason }, ofOwnLane],
  [{ kind: "step.not-performed", ...own, reason }, ofOwnLane],
  [{ kind: "branch.chosen", ...own, branch: "b" as BranchId }, ofOwnLane],
  [{ kind: "branch.chosen", ...other, branch: "b" as BranchId }, ofEveryLane],
  [{ kind: "gate.acknowledged", ...own, ...warning }, ofOwnLane],
  [{ kind: "gate.acknowledged", ...other, ...warning }, ofEveryLane],
  // A read-back is confirmed for another lane than one's own.
  [{ kind: "gate.readback-confirmed", ...own, ...warning }, ofEveryLane],
  [
    { kind: "gate.readback-confirmed", ...other, ...warning },
    ["director", "reader", "crew", "support"],
  ],
  // The GO of this gate is IV's to give.
  [{ kind: "gate.go-given", ...own, gate: "go" as GateId }, ofEveryLane],
  [{ kind: "gate.count-reported", ...own, gate: "bolts" as GateId, count: 1 }, ofOwnLane],
  [
    { kind: "gate.reading-reported", ...other, gate: "seal" as GateId, value: 1, unit: "kPa" },
    ofEveryLane,
  ],
  [{ kind: "gate.overridden", ...own, ...warning, reason }, ofOwnLane],
  [
    { kind: "hold.raised", scope: { covers: "lane", lane: ev1 }, reason, inject: null },
    ["director", "reader", "crew"],
  ],
  [
    {
      kind: "hold.raised",
      scope: { covers: "lane", lane: "ev2" as PositionId },
      reason,
      inject: null,
    },
    ofEveryLane,
  ],
  [{ kind: "hold.raised", scope: { covers: "everyone" }, reason, inject: null }, ofEveryLane],
  [
    { kind: "hold.raised", scope: { covers: "task", task: "t" as TaskId }, reason, inject: null },
    ofEveryLane,
  ],
  [{ kind: "hold.acknowledged", hold, lane: ev1 }, ofOwnLane],
  [{ kind: "hold.acknowledged", hold, lane: "ev2" as PositionId }, ofEveryLane],
  // A reader releases what its own device raised.
  [{ kind: "hold.released", hold }, ofEveryLane],
  [{ kind: "hold.released", hold: "desk:4" as HoldId }, onlyDirector],
  [{ kind: "hold.requested", reason }, people],
  [{ kind: "inject.armed", inject, trigger: { byHand: true } }, onlyDirector],
  [{ kind: "inject.fired", inject, name: "", card: "", shownTo: [] }, onlyDirector],
  [{ kind: "inject.responded", inject, text: "" }, people],
  [{ kind: "inject.graded", inject, grade: "met", remark: "" }, onlyDirector],
  [{ kind: "inject.cleared", inject }, onlyDirector],
  [{ kind: "check.recorded", check: "c" as CheckId, readings: {} }, people],
  [
    { kind: "item.sighted", item: "i" as ItemId, at: { site: "s" as SiteId } },
    ["director", "reader", "support", "floater"],
  ],
  [{ kind: "note.added", text: "", step: null, oddity: false }, people],
  [{ kind: "entry.withdrawn", withdrawn: { device, seq: 1 }, reason }, anyone],
  [
    { kind: "entry.withdrawn", withdrawn: { device: "desk" as DeviceId, seq: 1 }, reason },
    onlyDirector,
  ],
  [{ kind: "clock.sampled", offsetMs: 0, roundTripMs: 0 }, anyone],
  [{ kind: "clock.jumped", byMs: 0 }, anyone],
  [{ kind: "entry.withheld", digest: "" }, anyone],
];

test("[rights 2] [rights 3] [rights 4] [rights 5] [rights 6] [rights 7] each kind is open to these roles only", () => {
  for (const [body, who] of cases) {
    const may = anyone.filter((name) => mayWrite(authors[name], null, body, index));
    expect(may, JSON.stringify(body)).toEqual(anyone.filter((name) => who.includes(name)));
  }
});

test("every kind of entry is in the table above", () => {
  const kinds = new Set<EntryKind>(cases.map(([body]) => body.kind));
  expect(entryKinds.filter((kind) => !kinds.has(kind))).toEqual([]);
});

test("[rights 1] a position gives no right: crew acting for another lane stay crew of their own", () => {
  const ev2 = "ev2" as PositionId;
  expect(mayWrite(authors.crew, ev2, { kind: "step.started", ...other }, index)).toBe(false);
  const note: EntryBody = { kind: "note.added", text: "", step: null, oddity: false };
  expect(mayWrite(authors.crew, ev2, note, index)).toBe(false);
  expect(mayWrite(authors.crew, ev1, note, index)).toBe(true);
  expect(mayWrite(authors.reader, ev2, { kind: "step.started", ...other }, index)).toBe(true);
});

test("[rights 5] a GO is given by the lane that it is from", () => {
  const iv = { device, role: "support" as Role, lane: "iv" as PositionId };
  const go: EntryBody = { kind: "gate.go-given", ...own, gate: "go" as GateId };
  expect(mayWrite(iv, null, go, index)).toBe(true);
  expect(mayWrite(iv, null, { ...go, gate: "bolts" as GateId }, index)).toBe(false);
});

const positions = [null, ev1, "ev2" as PositionId, "iv" as PositionId];

test("[rights 3] a director writes every kind, for every lane and for none", () => {
  for (const [body] of cases) {
    for (const position of positions)
      expect(mayWrite(authors.director, position, body, index), body.kind).toBe(true);
  }
});

test("[rights 6] support note and check for their own lane or for none, and for no other", () => {
  const note: EntryBody = { kind: "note.added", text: "", step: null, oddity: false };
  const checked: EntryBody = { kind: "check.recorded", check: "c" as CheckId, readings: {} };
  for (const body of [note, checked]) {
    const mayFor = (author: (typeof authors)[Name]) =>
      positions.filter((position) => mayWrite(author, position, body, index));
    expect(mayFor(authors.support)).toEqual([null, ev1]);
    expect(mayFor(authors.floater)).toEqual([null]);
  }
});

test("[rights 7] an observer may write what a stranger may, and nothing else", () => {
  for (const [body] of cases) {
    for (const position of positions) {
      const mayStranger = mayWrite(authors.stranger, position, body, index);
      expect(mayWrite(authors.observer, position, body, index), body.kind).toBe(mayStranger);
    }
  }
});
