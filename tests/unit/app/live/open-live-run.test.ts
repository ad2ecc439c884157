import { Dexie } from "dexie";
import { expect, test } from "vitest";
import { followEntries } from "../../../../app/live/follow-entries.ts";
import type { Entry } from "../../../../machines/record/entry.ts";
import { ProcedureMissingError } from "../../../../workers/store/procedure-missing-error.ts";
import { RunMissingError } from "../../../../workers/store/run-missing-error.ts";
import { entriesOfRun } from "../../../../workers/store/read-run.ts";
import type { RunAtHub } from "../../../../workers/store/database.ts";
import { anotherWindow, ev1, note, theRun } from "../../../support/a-database.ts";
import { aHub } from "../../workers/hub/a-hub.ts";
import { aTablet, joinOn, openOn } from "../../workers/link/a-tablet.ts";
import { openPage, storeOf, until } from "./a-page.ts";

async function aDesk() {
  const testHub = await aHub();
  const tablet = await aTablet(testHub, "Desk");
  const { run } = await openOn(tablet, testHub);
  const store = storeOf(testHub, tablet);
  return { testHub, tablet, run, store };
}

test("[live-run 1] a tap is stored, and state and entries show it, when `take` resolves", async () => {
  const { tablet, run, store } = await aDesk();
  tablet.line.isCut = true;
  const live = await openPage(store, run);
  expect(live.me).toEqual({
    device: tablet.device.device,
    name: "Desk",
    role: "director",
    lane: null,
  });
  expect(live.state.value.phase).toBe("briefing");
  expect(await live.take({ kind: "run.started" }, null)).toBe(true);
  expect(live.state.value.phase).toBe("under-way");
  expect(live.entries.value).toEqual(await entriesOfRun(tablet.database, run));
  expect(live.refusal.value).toBeNull();
});

// As Chromium does it: the transaction aborts, with the reason on the transaction.
function fillDisk(): void {
  const native = Dexie.currentTransaction?.idbtrans;
  queueMicrotask(() => Reflect.get(native ?? {}, "_abort").call(native, "QuotaExceededError"));
}

test("[live-run 2] a tap that cannot be stored is refused, in words, and nothing shows", async () => {
  const { tablet, run, store } = await aDesk();
  const live = await openPage(store, run);
  const hook = tablet.database.entries.hook("creating");
  hook.subscribe(fillDisk);
  expect(await live.take({ kind: "run.started" }, null)).toBe(false);
  expect(live.refusal.value?.says).toContain("no room left");
  expect(live.state.value.phase).toBe("briefing");
  hook.unsubscribe(fillDisk);
  live.dismissRefusal();
  expect(live.refusal.value).toBeNull();
  expect(await live.take({ kind: "run.started" }, null)).toBe(true);
});

test("[live-run 3] many taps at once, in two windows, are all taken, each once", async () => {
  const { testHub, tablet, run, store } = await aDesk();
  const second = storeOf(testHub, tablet, anotherWindow(tablet.database));
  const windows = [await openPage(store, run), await openPage(second, run)];
  const taps = Array.from({ length: 20 }, (_, index) =>
    windows[index % 2]!.take(note(`tap ${index}`), ev1),
  );
  expect(await Promise.all(taps)).toEqual(taps.map(() => true));
  const notes = (await entriesOfRun(tablet.database, run))
    .map((entry) => entry.body)
    .filter((body) => body.kind === "note.added")
    .map((body) => body.text);
  expect(notes.toSorted()).toEqual(
    Array.from({ length: 20 }, (_, index) => `tap ${index}`).toSorted(),
  );
});

test("[live-run 4] what one window stores, the other shows", async () => {
  const { testHub, tablet, run, store } = await aDesk();
  const second = storeOf(testHub, tablet, anotherWindow(tablet.database));
  const first = await openPage(store, run);
  const other = await openPage(second, run);
  await first.take({ kind: "run.started" }, null);
  await until(() => other.state.value.phase === "under-way");
  expect(other.entries.value).toEqual(first.entries.value);
});

test("[live-run 4] what a sync stores, the page shows, and its standing with the hub", async () => {
  const { testHub, tablet, run, store } = await aDesk();
  const live = await openPage(store, run);
  await until(() => live.link.value.hub === "online" && live.link.value.unsent === 0);
  expect(live.link.value.lastContactMs).toBe(testHub.clock.nowMs());
  const lane = await aTablet(testHub, "EV1 tablet");
  const stored = (await tablet.database.runs.get(run)) as RunAtHub;
  await joinOn(lane, { tablet, stored }, { role: "crew", lane: ev1 });
  await tablet.loop.syncRun(run);
  await until(() => live.state.value.devices[lane.device.device] !== undefined);
  expect(live.state.value.devices[lane.device.device]).toMatchObject({ role: "crew", lane: ev1 });
});

test("[follow-entries 2] what changes nothing in the record leaves the entries as they were", async () => {
  const { tablet, run, store } = await aDesk();
  const followed = await followEntries(store.database, run, { onError: () => undefined });
  const before = followed.entries.value;
  await tablet.loop.syncRun(run);
  await followed.refresh();
  const after = followed.entries.value;
  expect(after).not.toBe(before);
  await tablet.loop.syncRun(run);
  await followed.refresh();
  expect(followed.entries.value).toBe(after);
  followed.stop();
});

test("[follow-entries 1] an entry that was withheld shows in full once its fuller self is stored", async () => {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  const stored = await openOn(desk, testHub);
  const { run } = stored;
  await desk.loop.syncRun(run);
  const lane = await aTablet(testHub, "EV1 tablet");
  await joinOn(lane, { tablet: desk, stored }, { role: "crew", lane: ev1 });
  await desk.tap(run, {
    kind: "inject.armed",
    inject: "lost-loop" as never,
    trigger: { byHand: true },
  });
  for (const one of [desk, lane]) await one.loop.syncRun(run);
  const live = await openPage(storeOf(testHub, lane), run);
  const kinds = (): string[] => live.entries.value.map((entry) => entry.body.kind);
  expect(kinds()).toContain("entry.withheld");
  await desk.tap(run, { kind: "run.closed" });
  for (const one of [desk, lane]) await one.loop.syncRun(run);
  await until(() => !kinds().includes("entry.withheld"));
  expect(kinds()).toContain("inject.armed");
});

test("[live-run 4] the hub's time is this device's clock, corrected", async () => {
  const { testHub, tablet, run, store } = await aDesk();
  tablet.line.aheadMs = 7_200_000;
  const live = await openPage(store, run);
  await until(() => live.link.value.lastContactMs !== null);
  await until(() => live.nowMs.value === testHub.clock.nowMs());
});

test("[live-run 2] a run that is not here, or not whole, says so and can be opened later", async () => {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  const stored = await openOn(desk, testHub);
  await desk.loop.syncRun(stored.run);
  const lane = await aTablet(testHub, "EV1 tablet");
  const store = storeOf(testHub, lane);
  await expect(openPage(store, theRun)).rejects.toThrow(RunMissingError);
  await joinOn(lane, { tablet: desk, stored }, { role: "crew", lane: ev1 });
  await expect(openPage(store, stored.run)).rejects.toThrow(ProcedureMissingError);
  await lane.loop.syncRun(stored.run);
  expect((await openPage(store, stored.run)).procedure.id).toBe("bracket-swap");
});

test("[follow-entries 3] whoever listens hears of each entry once, before the signal shows it", async () => {
  const { tablet, run, store } = await aDesk();
  tablet.line.isCut = true;
  const heard: Entry[] = [];
  let shown = 0;
  const followed = await followEntries(store.database, run, {
    onNews: (news) => {
      expect(followedEntries().length).toBe(shown);
      heard.push(...news);
      shown = heard.length;
    },
    onError: () => undefined,
  });
  function followedEntries(): readonly Entry[] {
    return shown === 0 ? [] : followed.entries.value;
  }
  for (const text of ["read again", "shown at once", "both"]) {
    await tablet.tap(run, note(text));
    const entry = (await entriesOfRun(tablet.database, run)).at(-1) as Entry;
    if (text !== "read again") await followed.showStored(entry);
    if (text !== "shown at once") await followed.refresh();
  }
  expect(followed.entries.value).toEqual(await entriesOfRun(tablet.database, run));
  expect(heard).toEqual(followed.entries.value);
  expect(followed.seqOf(tablet.device.device)).toBe(heard.length);
  followed.stop();
});
