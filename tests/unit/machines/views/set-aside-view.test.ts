import { expect, test } from "vitest";
import type { Entry, EntryBody } from "../../../../machines/record/entry.ts";
import type { PositionId, StepId } from "../../../../machines/procedure/ids.ts";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";
import type { SetAsideReport } from "../../../../machines/sync/pull.ts";
import { setAsideJson } from "../../../../machines/views/set-aside-json.ts";
import { setAsideLines } from "../../../../machines/views/set-aside-view.ts";
import type { HeldAside, SetAsideGround } from "../../../../machines/views/set-aside-view.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { tappedRun } from "../../../support/tapped-run.ts";
import type { TappedRun } from "../../../support/tapped-run.ts";

const step = "ev1-to-rack" as StepId;

function aRunWithCrew(): TappedRun {
  const run = tappedRun(aProcedure());
  run.join("tablet-1", "crew", "ev1");
  return run;
}

function ground(run: TappedRun, others: Partial<SetAsideGround> = {}): SetAsideGround {
  return { index: run.index, state: run.state(), here: [], atHub: [], ...others };
}

function held(seq: number, reason: HeldAside["reason"], mark = "a"): HeldAside {
  const device = "tablet-1" as DeviceId;
  return { device, seq, digest: mark.repeat(64), reason, entry: entryOf(device, seq) };
}

function entryOf(device: DeviceId, seq: number, body: EntryBody = { kind: "step.done", step }) {
  const run = "desk.run" as RunId;
  const position = "ev1" as PositionId;
  return { run, device, seq, prev: null, wallMs: 0, seen: {}, position, body } satisfies Entry;
}

function report(fromSeq: number, toSeq: number, code: SetAsideReport["code"]): SetAsideReport {
  return { device: "tablet-1" as DeviceId, fromSeq, toSeq, code, receivedMs: 1_700_000_000_000 };
}

test("[set-aside 1] what this device, the hub and the record set aside is all there", () => {
  const run = aRunWithCrew();
  run.tap("tablet-1", { kind: "run.closed" }, "ev1");
  const lines = setAsideLines(
    ground(run, { here: [held(7, "fork")], atHub: [report(20, 24, "chain")] }),
  );
  expect(lines.map(({ by, which }) => `${by}: ${which}`).toSorted()).toEqual([
    "hub: entries 20 to 24",
    "record: entry 1",
    "this-device: entry 7",
  ]);
});

test("[set-aside 1] without anything set aside there is no line", () => {
  expect(setAsideLines(ground(aRunWithCrew()))).toEqual([]);
});

test("[set-aside 2] a line says who, what, why and what to do", () => {
  const [line] = setAsideLines(ground(aRunWithCrew(), { here: [held(7, "fork")] }));
  expect(line).toMatchObject({
    who: "tablet-1 tablet",
    which: "entry 7",
    what: ["Step done: EV1 step 1"],
    isWaiting: false,
  });
  expect(line?.why).toContain("same number");
  expect(line?.mend).toContain("strike the tablet off");
});

test("[set-aside 2] a forged entry is not held against the device that it names", () => {
  const [line] = setAsideLines(ground(aRunWithCrew(), { atHub: [report(3, 3, "signature")] }));
  expect(line?.mend).toContain("Do not strike");
});

test.each([
  ["a role that may not", "tablet-1", "The role crew of EV1 may not enter this."],
  ["a device that nobody let in", "stranger", "No director has let this device into the run."],
])("[set-aside 2] why the record set it aside: %s", (_, device, why) => {
  const run = aRunWithCrew();
  run.tap(device, { kind: "run.closed" });
  expect(setAsideLines(ground(run)).map((line) => line.why)).toEqual([why]);
});

test("[set-aside 2] why the record set it aside: the device had been struck off", () => {
  const run = aRunWithCrew();
  run.tap("tablet-1", { kind: "step.started", step }, "ev1");
  run.tap("desk", {
    kind: "device.struck-off",
    struckOff: "tablet-1" as DeviceId,
    reason: "Tablet lost",
  });
  run.tap("tablet-1", { kind: "step.done", step }, "ev1");
  const lines = setAsideLines(ground(run));
  expect(lines.map(({ which, why }) => [which, why])).toEqual([
    ["entry 2", "They were entered after the device had been struck off."],
  ]);
});

test("[set-aside 3] neighbours of one reason are one line; a gap between them or another reason parts them", () => {
  const here = [
    held(4, "chain"),
    held(5, "chain"),
    held(6, "chain"),
    held(9, "chain"),
    held(10, "signature"),
  ];
  const lines = setAsideLines(ground(aRunWithCrew(), { here }));
  expect(lines.map(({ which }) => which)).toEqual(["entries 4 to 6", "entry 9", "entry 10"]);
});

test("[set-aside 4] a key stays when more comes elsewhere, and changes when more comes to its line", () => {
  const run = aRunWithCrew();
  const keys = (here: readonly HeldAside[]) =>
    setAsideLines(ground(run, { here })).map((line) => line.key);
  const [first] = keys([held(4, "fork")]);
  expect(keys([held(9, "fork"), held(4, "fork")])).toContain(first);
  expect(keys([held(4, "fork"), held(5, "fork")])).not.toContain(first);
  expect(keys([held(4, "fork"), held(4, "fork", "b")])).not.toContain(first);
});

test("[set-aside 5] what only waits comes last and says so", () => {
  const lines = setAsideLines(ground(aRunWithCrew(), { here: [held(5, "gap"), held(9, "fork")] }));
  expect(lines.map(({ which, isWaiting }) => [which, isWaiting])).toEqual([
    ["entry 9", false],
    ["entry 5", true],
  ]);
});

test("[set-aside-json 1] the file holds every entry that was set aside here or by the record, as it came", () => {
  const run = aRunWithCrew();
  run.tap("tablet-1", { kind: "run.closed" }, "ev1");
  const beyond = entryOf("tablet-1" as DeviceId, 1, { kind: "run.closed" });
  const good = entryOf("desk" as DeviceId, 1, { kind: "run.started" });
  const here = [held(7, "fork")];
  const file: unknown = JSON.parse(
    setAsideJson("desk.run" as RunId, ground(run, { here }), [good, beyond]),
  );
  expect(file).toMatchObject({
    format: "lanehold.set-aside",
    byThisDevice: [{ reason: "fork", entry: here[0]?.entry }],
    byRecord: [beyond],
  });
});
