import { expect, test } from "vitest";
import type { InjectId } from "../../../../machines/procedure/ids.ts";
import type { Entry } from "../../../../machines/record/entry.ts";
import type { RunId } from "../../../../machines/record/ids.ts";
import { entriesOfRun, readLink, unsentOfRun } from "../../../../workers/store/read-run.ts";
import type { RunAtHub } from "../../../../workers/store/database.ts";
import { ev1, note } from "../../../support/a-database.ts";
import { anInjectScript } from "../../../support/an-inject-script.ts";
import { bringDocuments } from "../../../../workers/hub/bring-documents.ts";
import { aHub } from "../hub/a-hub.ts";
import type { TestHub } from "../hub/a-hub.ts";
import { aTablet, joinOn, openOn } from "./a-tablet.ts";
import type { Tablet } from "./a-tablet.ts";

function kinds(entries: readonly Entry[]): string[] {
  return entries.map((entry) => entry.body.kind);
}

async function held(tablet: Tablet, run: RunId): Promise<Entry[]> {
  return entriesOfRun(tablet.database, run);
}

async function aDeskAndALane(testHub: TestHub) {
  const desk = await aTablet(testHub, "Desk");
  const stored = await openOn(desk, testHub);
  await desk.loop.syncRun(stored.run);
  const lane = await aTablet(testHub, "EV1 tablet");
  await joinOn(lane, { tablet: desk, stored }, { role: "crew", lane: ev1 });
  return { desk, lane, run: stored.run, stored };
}

test("[sync-loop 1] a run that was opened without a hub reaches it when it is there", async () => {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  const { run } = await openOn(desk, testHub);
  await desk.tap(run, note("before the hub"));
  desk.line.isCut = true;
  expect(await desk.loop.syncRun(run)).toEqual({ type: "round.put-off", delayMs: 500 });
  expect((await readLink(desk.database, run)).lastFailureMs).toBe(testHub.clock.nowMs());
  desk.line.isCut = false;
  expect(await desk.loop.syncRun(run)).toEqual({ type: "round.finished" });
  const link = await readLink(desk.database, run);
  expect([link.registered, link.lastFailureMs, link.refused]).toEqual([true, null, null]);
  expect(await unsentOfRun(desk.database, { run, device: desk.device.device })).toBe(0);
  expect(kinds(await held(desk, run))).toEqual(["run.opened", "note.added", "clock.sampled"]);
  expect(desk.told).toEqual([
    { type: "run.sync-put-off", run, delayMs: 500 },
    { type: "run.synced", run },
  ]);
});

test("[sync-loop 2] two devices come to hold the same, and the director's lets the other in", async () => {
  const testHub = await aHub();
  const { desk, lane, run } = await aDeskAndALane(testHub);
  await lane.loop.syncRun(run);
  await lane.tap(run, note("from the lane"));
  for (const tablet of [lane, desk, lane, desk]) await tablet.loop.syncRun(run);
  const entries = await held(desk, run);
  expect(await held(lane, run)).toEqual(entries);
  expect(
    entries.filter((entry) => entry.body.kind === "device.joined").map(({ body }) => body),
  ).toEqual([
    {
      kind: "device.joined",
      joined: lane.device.device,
      role: "crew",
      lane: ev1,
      deviceName: "EV1 tablet",
    },
  ]);
  expect(await lane.database.procedures.count()).toBe(1);
});

test("[sync-loop 2] wherever one request or answer is cut, the next rounds mend it", async () => {
  for (const mishap of ["request-cut", "answer-cut"] as const) {
    for (let at = 0; at < 6; at += 1) {
      const testHub = await aHub();
      const desk = await aTablet(testHub, "Desk");
      const { run } = await openOn(desk, testHub);
      for (const text of ["a", "b", "c"]) await desk.tap(run, note(text));
      desk.line.mishaps = [...Array.from({ length: at }, () => "none" as const), mishap];
      await desk.loop.syncRun(run);
      await desk.loop.syncRun(run);
      const reader = await aTablet(testHub, "Reader");
      const stored = (await desk.database.runs.get(run)) as RunAtHub;
      await joinOn(reader, { tablet: desk, stored }, { role: "reader", lane: null });
      await desk.loop.syncRun(run);
      await reader.loop.syncRun(run);
      const fromDesk = (await held(reader, run)).filter(
        (entry) => entry.device === desk.device.device,
      );
      expect(fromDesk).toEqual(
        (await held(desk, run)).filter((entry) => entry.device === desk.device.device),
      );
      expect(await desk.database.setAside.count()).toBe(0);
    }
  }
});

test("[sync-loop 1] ten wishes at once make at most two rounds", async () => {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  const { run } = await openOn(desk, testHub);
  await desk.loop.syncRun(run);
  desk.asked.length = 0;
  await Promise.all(Array.from({ length: 10 }, () => desk.loop.syncRun(run)));
  const pulls = desk.asked.filter((one) => one.startsWith("GET") && one.endsWith("/entries"));
  expect(pulls.length).toBeGreaterThanOrEqual(1);
  expect(pulls.length).toBeLessThanOrEqual(2);
});

test("[sync-loop 1] syncing all syncs what has something to bring or to fetch, and nothing else", async () => {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  const { run } = await openOn(desk, testHub);
  await desk.loop.syncAll();
  expect(await unsentOfRun(desk.database, { run, device: desk.device.device })).toBe(0);
  desk.asked.length = 0;
  await desk.loop.syncAll();
  expect(desk.asked).toEqual([]);
});

test("[sync-loop 2] an answer that is not the hub's changes nothing and is told", async () => {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  const { run } = await openOn(desk, testHub);
  await desk.loop.syncRun(run);
  const before = await held(desk, run);
  desk.line.garbled = "<html>Sign in to the guest network</html>";
  expect((await desk.loop.syncRun(run)).type).toBe("round.put-off");
  expect(await held(desk, run)).toEqual(before);
  expect((await readLink(desk.database, run)).refused?.code).toBe("answer-unreadable");
  desk.line.garbled = null;
  expect((await desk.loop.syncRun(run)).type).toBe("round.finished");
  expect((await readLink(desk.database, run)).refused).toBeNull();
});

test("[clock-watch 3] a clock that is wrong is recorded once, again after ten minutes, and when it was set", async () => {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  desk.line.aheadMs = 7_200_000;
  const { run } = await openOn(desk, testHub);
  const clocks = async () =>
    (await held(desk, run))
      .map((entry) => entry.body)
      .filter(({ kind }) => kind.startsWith("clock."));
  const sampled = { kind: "clock.sampled", offsetMs: -7_200_000, roundTripMs: 0 };
  for (let round = 0; round < 3; round += 1) await desk.loop.syncRun(run);
  expect(await clocks()).toEqual([sampled]);
  testHub.clock.pass(600_000);
  await desk.loop.syncRun(run);
  expect(await clocks()).toEqual([sampled, sampled]);
  desk.line.aheadMs = 3_600_000;
  await desk.loop.syncRun(run);
  expect(await clocks()).toEqual([
    sampled,
    sampled,
    { kind: "clock.jumped", byMs: -3_600_000 },
    { kind: "clock.sampled", offsetMs: -3_600_000, roundTripMs: 0 },
  ]);
  expect(await unsentOfRun(desk.database, { run, device: desk.device.device })).toBe(0);
});

test("[sync-loop 2] an inject is withheld from crew, and shown in full once the run is closed", async () => {
  const testHub = await aHub();
  const { desk, lane, run } = await aDeskAndALane(testHub);
  const armed = {
    kind: "inject.armed",
    inject: "lost-loop" as InjectId,
    trigger: { byHand: true },
  } as const;
  await desk.tap(run, armed);
  for (const tablet of [desk, lane]) await tablet.loop.syncRun(run);
  const injectsOnLane = async () => JSON.stringify(await held(lane, run)).includes("lost-loop");
  expect(kinds(await held(lane, run))).toContain("entry.withheld");
  expect(await injectsOnLane()).toBe(false);
  await desk.tap(run, { kind: "run.closed" });
  for (const tablet of [desk, lane]) await tablet.loop.syncRun(run);
  expect(await injectsOnLane()).toBe(true);
  expect(kinds(await held(lane, run))).not.toContain("entry.withheld");
  expect(await lane.database.setAside.count()).toBe(0);
});

test("[sync-loop 2] the inject script reaches the director's device and no other", async () => {
  const testHub = await aHub();
  await bringDocuments(testHub.hub.storage, { procedures: [], injectScripts: [anInjectScript()] });
  const { desk, lane, run } = await aDeskAndALane(testHub);
  for (const tablet of [desk, lane, desk, lane]) await tablet.loop.syncRun(run);
  expect((await desk.database.injectScripts.get(run))?.script).toEqual(anInjectScript());
  expect(await lane.database.injectScripts.count()).toBe(0);
  expect(lane.asked.filter((path) => path.endsWith("/inject-script"))).toEqual([]);
});

test("[sync-loop 2] a hub that lost its storage gets run and entries again", async () => {
  const first = await aHub();
  const desk = await aTablet(first, "Desk");
  const { run } = await openOn(desk, first);
  await desk.tap(run, note("a"));
  await desk.loop.syncRun(run);
  const second = await aHub();
  const moved = await aTablet(second, "Desk on the new hub");
  const world = { ...moved, database: desk.database };
  const { createSyncLoop } = await import("../../../../workers/link/sync-loop.ts");
  const loop = createSyncLoop({
    ...world,
    readWallMs: () => second.clock.nowMs(),
    random: () => 0,
    tell: () => undefined,
  });
  expect(await loop.syncRun(run)).toEqual({ type: "round.finished" });
  expect(await second.hub.storage.readHave(run)).toEqual({ [desk.device.device]: 3 });
});
