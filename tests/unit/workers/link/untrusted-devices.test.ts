// What the real hub and the real sync loop make of devices that come back, were struck off, or were put
// back to an older copy of themselves.

import { expect, test } from "vitest";
import type { Entry, EntryBody } from "../../../../machines/record/entry.ts";
import type { RunId } from "../../../../machines/record/ids.ts";
import type { Database, RunAtHub } from "../../../../workers/store/database.ts";
import { makeBundle } from "../../../../workers/link/make-bundle.ts";
import { openBundle } from "../../../../workers/link/open-bundle.ts";
import { takeBundle } from "../../../../workers/link/take-bundle.ts";
import { entriesOfRun, readLink } from "../../../../workers/store/read-run.ts";
import { ev1, note } from "../../../support/a-database.ts";
import { aHub } from "../hub/a-hub.ts";
import type { TestHub } from "../hub/a-hub.ts";
import { aTablet, joinOn, openOn } from "./a-tablet.ts";
import type { Tablet } from "./a-tablet.ts";

const crew = { role: "crew", lane: ev1 } as const;

type Rehearsal = {
  readonly testHub: TestHub;
  readonly desk: Tablet;
  readonly tablet: Tablet;
  readonly stored: RunAtHub;
  readonly run: RunId;
};

async function aRehearsal(): Promise<Rehearsal> {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  const stored = await openOn(desk, testHub);
  const { run } = stored;
  await desk.loop.syncRun(run);
  const tablet = await aTablet(testHub, "EV1 tablet");
  await joinOn(tablet, { tablet: desk, stored }, crew);
  await desk.loop.syncRun(run);
  await tablet.loop.syncRun(run);
  return { testHub, desk, tablet, stored, run };
}

// All that IndexedDB holds, as a person takes an image of a tablet.
async function imageOf(database: Database): Promise<readonly (readonly [string, unknown[]])[]> {
  return Promise.all(
    database.tables.map(async (table) => [table.name, await table.toArray()] as const),
  );
}

async function putBack(
  database: Database,
  image: readonly (readonly [string, unknown[]])[],
): Promise<void> {
  for (const [name, rows] of image) {
    await database.table(name).clear();
    await database.table(name).bulkAdd(rows);
  }
}

function texts(entries: readonly Entry[]): string[] {
  return entries.flatMap(({ body }) => (body.kind === "note.added" ? [body.text] : []));
}

async function tapAll(tablet: Tablet, run: RunId, words: readonly string[]): Promise<void> {
  for (const word of words) await tablet.tap(run, note(word));
}

test("[store-pulled 6] [store-pulled 7] [sync-session 6] a tablet put back to an older copy goes on, and no tap is lost", async () => {
  const { desk, tablet, run } = await aRehearsal();
  await tapAll(tablet, run, ["before the image"]);
  await tablet.loop.syncRun(run);
  const image = await imageOf(tablet.database);
  await tapAll(tablet, run, ["lost with the tablet 1", "lost with the tablet 2"]);
  await tablet.loop.syncRun(run);
  await putBack(tablet.database, image);
  await tapAll(tablet, run, ["after the image 1", "after the image 2", "after the image 3"]);
  await tablet.loop.syncRun(run);
  await tablet.loop.syncRun(run);
  await desk.loop.syncRun(run);
  const expected = [
    "before the image",
    "lost with the tablet 1",
    "lost with the tablet 2",
    "after the image 1",
    "after the image 2",
    "after the image 3",
  ];
  expect(texts(await entriesOfRun(tablet.database, run))).toEqual(expected);
  expect(texts(await entriesOfRun(desk.database, run))).toEqual(expected);
  const link = await readLink(tablet.database, run);
  expect(link).toMatchObject({ writtenAgain: 3, refused: null });
  expect((await readLink(desk.database, run)).setAside).toMatchObject([
    { device: tablet.device.device, code: "fork" },
  ]);
});

test("[store-pulled 7] an image without taps of its own gets back what the hub has", async () => {
  const { tablet, run } = await aRehearsal();
  const image = await imageOf(tablet.database);
  await tapAll(tablet, run, ["lost with the tablet"]);
  await tablet.loop.syncRun(run);
  await putBack(tablet.database, image);
  await tablet.loop.syncRun(run);
  expect(texts(await entriesOfRun(tablet.database, run))).toEqual(["lost with the tablet"]);
  expect(await tablet.database.setAside.count()).toBe(0);
});

test("[pull 5] a struck-off tablet that returns is told so; what it sends is kept, and it reads no further", async () => {
  const { desk, tablet, run } = await aRehearsal();
  await tapAll(tablet, run, ["before"]);
  await tablet.loop.syncRun(run);
  await desk.loop.syncRun(run);
  const { device: struckOff } = tablet.device;
  const strike: EntryBody = { kind: "device.struck-off", struckOff, reason: "Lost" };
  await desk.tap(run, strike);
  await desk.loop.syncRun(run);
  await tapAll(tablet, run, ["after"]);
  await tapAll(desk, run, ["not for the tablet"]);
  await desk.loop.syncRun(run);
  await tablet.loop.syncRun(run);
  expect((await readLink(tablet.database, run)).refused?.code).toBe("struck-off");
  expect(texts(await entriesOfRun(tablet.database, run))).not.toContain("not for the tablet");
  await desk.loop.syncRun(run);
  expect(texts(await entriesOfRun(desk.database, run))).toContain("after");
});

test("[sync-session 5] what came by a bundle from a tablet that never met the hub goes on to the hub", async () => {
  const { testHub, desk, tablet, run } = await aRehearsal();
  tablet.line.isCut = true;
  await tapAll(tablet, run, ["out of reach 1", "out of reach 2"]);
  const wallMs = testHub.clock.nowMs();
  const { bytes } = await makeBundle(tablet.database, { run, readers: "everybody", wallMs });
  await takeBundle(desk.database, await openBundle(desk.database, bytes, run), wallMs);
  await desk.loop.syncRun(run);
  const reader = await aTablet(testHub, "Reader");
  const stored = (await desk.database.runs.get(run)) as RunAtHub;
  await joinOn(reader, { tablet: desk, stored }, { role: "reader", lane: null });
  await reader.loop.syncRun(run);
  expect(texts(await entriesOfRun(reader.database, run))).toEqual([
    "out of reach 1",
    "out of reach 2",
  ]);
  tablet.line.isCut = false;
  await tablet.loop.syncRun(run);
  expect(await readLink(tablet.database, run)).toMatchObject({ refused: null });
  expect(await tablet.database.setAside.count()).toBe(0);
});
