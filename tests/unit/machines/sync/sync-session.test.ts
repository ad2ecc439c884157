import * as fc from "fast-check";
import { expect, test } from "vitest";
import { createSession, repeatsMax, stepSession } from "../../../../machines/sync/sync-session.ts";
import type { SyncFacts } from "../../../../machines/sync/sync-session.ts";
import type { DeviceId } from "../../../../machines/record/ids.ts";
import { DeviceModel, HubModel } from "../../../support/hub-model.ts";
import type { Mishap } from "../../../support/hub-model.ts";

function threeDevices() {
  return [new DeviceModel("a", true), new DeviceModel("b", false), new DeviceModel("c", false)];
}

function namesAt(hub: HubModel): string[] {
  return hub.log.map((entry) => `${entry.device}:${entry.seq}`).toSorted();
}

test("[sync-session 1] a first round brings procedure and run, pushes, pulls, and is finished", () => {
  const hub = new HubModel();
  const device = new DeviceModel("a", true);
  device.tap();
  expect(device.round(hub)).toEqual([
    "procedure.put",
    "run.open",
    "entries.push",
    "entries.pull",
    "entries.store",
  ]);
  expect(device.lastEnd).toEqual({ type: "round.finished" });
  expect(device.round(hub)).toEqual(["entries.pull", "entries.store"]);
});

test("[sync-session 1] a device that joined does not open, and gets its procedure first", () => {
  const facts: SyncFacts = {
    device: "b" as DeviceId,
    opener: false,
    director: false,
    hasProcedure: false,
    registered: true,
    cursor: null,
    confirmedSeq: 0,
    ownSeq: 0,
  };
  const first = stepSession(createSession(facts), { type: "round.wanted", facts });
  expect(first.output).toEqual({ type: "procedure.fetch" });
  expect(stepSession(first.session, { type: "procedure.fetched" }).output.type).toBe(
    "entries.pull",
  );
});

test("[sync-session 1] an answer that was not asked for is a mistake", () => {
  const hub = new HubModel();
  const device = new DeviceModel("a", true);
  device.round(hub);
  const session = device.session!;
  expect(() => stepSession(session, { type: "run.opened" })).toThrow("Assertion failed");
});

const mishap = fc.constantFrom<Mishap>(
  "none",
  "none",
  "request-cut",
  "answer-cut",
  "crash-before",
  "crash-after",
);
const act = fc.oneof(
  { weight: 6, arbitrary: fc.record({ act: fc.constant("tap" as const), who: fc.nat(2) }) },
  {
    weight: 6,
    arbitrary: fc.record({
      act: fc.constant("round" as const),
      who: fc.nat(2),
      mishaps: fc.array(mishap, { maxLength: 12 }),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({ act: fc.constant("restore" as const), kept: fc.nat(20) }),
  },
);

test("[sync-session 2] [sync-session 3] cuts, crashes and restored backups lose nothing", () => {
  fc.assert(
    fc.property(fc.array(act, { maxLength: 60 }), (acts) => {
      const hub = new HubModel();
      const devices = threeDevices();
      for (const one of acts) {
        if (one.act === "tap") devices[one.who]!.tap();
        if (one.act === "round" && (hub.knowsRun || one.who === 0)) {
          devices[one.who]!.round(hub, one.mishaps);
        }
        if (one.act === "restore") hub.restore(one.kept);
      }
      for (let round = 0; round < 2; round += 1) {
        for (const device of devices) device.round(hub);
      }
      const all = devices.flatMap(({ device, ownSeq }) =>
        Array.from({ length: ownSeq }, (_, index) => `${device}:${index + 1}`),
      );
      expect(namesAt(hub)).toEqual(all.toSorted());
      for (const device of devices) {
        expect([...device.held.keys()].toSorted()).toEqual(all.toSorted());
        expect(device.lastEnd).toEqual({ type: "round.finished" });
      }
    }),
    { numRuns: 1_000 },
  );
});

test("[sync-session 2] a round is cut at every single point, and the next one mends it", () => {
  const kinds: readonly Mishap[] = ["request-cut", "answer-cut", "crash-before", "crash-after"];
  for (const kind of kinds) {
    for (let at = 0; at < 12; at += 1) {
      const hub = new HubModel();
      const device = new DeviceModel("a", true);
      for (let tap = 0; tap < 10; tap += 1) device.tap();
      device.round(hub, [...Array.from({ length: at }, (): Mishap => "none"), kind]);
      device.round(hub);
      expect(hub.log.map((entry) => entry.seq)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
      expect(device.confirmedSeq).toBe(10);
    }
  }
});

test.each([
  { says: "with nothing new to push", taps: 0 },
  { says: "with a tap that the hub finds a gap before", taps: 1 },
])("[sync-session 3] one round mends a hub from an older backup, $says", ({ taps }) => {
  const hub = new HubModel();
  const device = new DeviceModel("a", true);
  for (let tap = 0; tap < 5; tap += 1) device.tap();
  device.round(hub);
  hub.restore(2);
  for (let tap = 0; tap < taps; tap += 1) device.tap();
  const orders = device.round(hub);
  expect(hub.log).toHaveLength(5 + taps);
  expect(device.lastEnd).toEqual({ type: "round.finished" });
  // A gap is mended at once, not by way of a pull that first has to tell of it.
  expect(orders[1]).toBe(taps === 0 ? "entries.store" : "entries.push");
});

test("[sync-session 3] a hub that lost everything gets the run again from the device that opened it", () => {
  const hub = new HubModel();
  const device = new DeviceModel("a", true);
  for (let tap = 0; tap < 5; tap += 1) device.tap();
  device.round(hub);
  hub.lose();
  device.round(hub);
  expect(hub.knowsRun).toBe(true);
  expect(namesAt(hub)).toHaveLength(5);
});

test("[sync-session 3] own entries that only the hub has left are pulled from the beginning", () => {
  const hub = new HubModel();
  const before = new DeviceModel("a", true);
  for (let tap = 0; tap < 5; tap += 1) before.tap();
  before.round(hub);
  const after = new DeviceModel("a", true);
  Object.assign(after, { registered: true, cursor: before.cursor });
  after.round(hub);
  expect(after.held.size).toBe(5);
});

test("[sync-session 5] what only another device holds any more comes back to a restored hub", () => {
  const hub = new HubModel();
  const lost = new DeviceModel("a", true);
  const left = new DeviceModel("b", false);
  for (let tap = 0; tap < 7; tap += 1) lost.tap();
  lost.round(hub);
  left.round(hub);
  hub.restore(1);
  expect(left.round(hub).filter((order) => order === "entries.relay")).toHaveLength(2);
  expect(namesAt(hub)).toHaveLength(7);
});

test("[sync-session 5] [sync-session 4] a hub that refuses what is relayed is not asked again", () => {
  class DeafHub extends HubModel {
    override push() {
      return { have: this.have(), refused: [], stamps: { receivedMs: 0, answeredMs: 0 } };
    }
  }
  const source = new HubModel();
  const writer = new DeviceModel("a", true);
  writer.tap();
  writer.round(source);
  const reader = new DeviceModel("b", false);
  reader.round(source);
  const deaf = new DeafHub();
  deaf.knowsRun = true;
  const orders = reader.round(deaf);
  expect(orders.filter((order) => order === "entries.relay")).toHaveLength(repeatsMax);
  expect(reader.lastEnd).toEqual({ type: "round.finished" });
});

const facts: SyncFacts = {
  device: "a" as DeviceId,
  opener: true,
  director: true,
  hasProcedure: true,
  registered: true,
  cursor: { epoch: "e", after: 4 },
  confirmedSeq: 1,
  ownSeq: 2,
};

// Pushes what the hub refuses as forked, then takes one pull.
function afterFork(stored: { readonly gaveWay: boolean; readonly isBroken: boolean }) {
  const hub = new HubModel();
  hub.log.push(...["a", "a"].map((device, index) => ({ device, seq: index + 1 }) as never));
  const begun = stepSession(createSession(facts), { type: "round.wanted", facts });
  const refused = [{ device: facts.device, seq: 2, code: "fork", says: "Another." }];
  const stamps = { receivedMs: 0, answeredMs: 0 };
  const answer = { have: hub.have(), refused, stamps };
  const pushed = stepSession(begun.session, { type: "entries.pushed", afterSeq: 1, answer });
  const pulled = stepSession(pushed.session, { type: "entries.pulled", answer: hub.pull(null) });
  return stepSession(pulled.session, {
    type: "entries.stored",
    ownSeq: 3,
    answer: hub.pull(null),
    canRelay: false,
    ...stored,
  });
}

test("[sync-session 6] where the hub has another branch everything is pulled anew, once", () => {
  const first = afterFork({ gaveWay: false, isBroken: false });
  expect(first.output).toEqual({ type: "entries.pull", cursor: null });
  const answer = new HubModel().pull(null);
  const pulled = stepSession(first.session, { type: "entries.pulled", answer });
  const again = { gaveWay: false, isBroken: true, canRelay: false, ownSeq: 3 };
  const end = stepSession(pulled.session, { type: "entries.stored", answer, ...again });
  expect(end.output).toEqual({ type: "round.finished" });
});

test("[sync-session 6] own entries that gave way and were written again are pushed in the same round", () => {
  const step = afterFork({ gaveWay: true, isBroken: false });
  expect(step.output).toEqual({ type: "entries.push", afterSeq: 2 });
});

test("[sync-session 4] a hub that takes nothing does not keep a round going", () => {
  class DeafHub extends HubModel {
    override push() {
      const stamps = { receivedMs: 0, answeredMs: 0 };
      return { have: {}, refused: [], stamps };
    }
  }
  const hub = new DeafHub();
  const device = new DeviceModel("a", true);
  device.tap();
  const orders = device.round(hub);
  expect(orders.filter((order) => order === "entries.push")).toHaveLength(repeatsMax + 1);
  expect(device.lastEnd).toEqual({ type: "round.finished" });
});

test("[sync-session 4] waits grow with failures, and the hub's own wish counts if it is longer", () => {
  const hub = new HubModel();
  const device = new DeviceModel("a", true);
  const waits: unknown[] = [];
  for (let round = 0; round < 4; round += 1) {
    device.round(hub, ["request-cut"]);
    waits.push(device.lastEnd);
  }
  expect(waits).toEqual(
    [500, 1_000, 2_000, 4_000].map((delayMs) => ({ type: "round.put-off", delayMs })),
  );
  device.round(hub);
  device.round(hub, ["request-cut"]);
  expect(device.lastEnd).toEqual({ type: "round.put-off", delayMs: 500 });
  const { session } = stepSession(device.session!, {
    type: "round.wanted",
    facts: device.session!,
  });
  const refusal = { code: "rate-limited", says: "Too often.", waitMs: 90_000 };
  const refused = stepSession(session, { type: "request.refused", refusal, random: 0 });
  expect(refused.output).toEqual({ type: "round.put-off", delayMs: 90_000 });
});
