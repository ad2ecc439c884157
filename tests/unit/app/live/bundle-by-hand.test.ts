// Bundles as the screens hand them on and read them: files, letters, refusals, and on to the hub.

import { expect, test, vi } from "vitest";
import { canShare, handOnBundle, shareFile } from "../../../../app/live/hand-on-bundle.ts";
import type { LiveStore } from "../../../../app/live/live-store.ts";
import { readBundleFile } from "../../../../app/live/read-bundle.ts";
import type { BundleOffer } from "../../../../app/live/read-bundle.ts";
import type { PositionId } from "../../../../machines/procedure/ids.ts";
import type { RunId } from "../../../../machines/record/ids.ts";
import { checkLetters } from "../../../../workers/keys/check-letters.ts";
import { entriesOfRun } from "../../../../workers/store/read-run.ts";
import { note } from "../../../support/a-database.ts";
import { aHub } from "../../workers/hub/a-hub.ts";
import { aTablet, joinOn, openOn } from "../../workers/link/a-tablet.ts";
import type { Tablet } from "../../workers/link/a-tablet.ts";
import { openPage, storeOf, until } from "./a-page.ts";

const crew = { role: "crew", lane: "ev1" as PositionId } as const;

async function aDesk() {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  const { run, token } = await openOn(desk, testHub);
  const store = storeOf(testHub, desk);
  return { testHub, desk, run, store, stored: (await desk.database.runs.get(run))!, token };
}

async function fileOf(store: LiveStore, run: RunId): Promise<File> {
  const { value, refusal } = await handOnBundle(store, run, "everybody");
  expect(refusal).toBeNull();
  return value!.file;
}

async function offerOf(store: LiveStore, file: Blob): Promise<BundleOffer> {
  const { value, refusal } = await readBundleFile(store, file, null);
  expect(refusal).toBeNull();
  return value!;
}

async function dumpOf({ database }: Tablet): Promise<unknown> {
  return Promise.all(
    database.tables
      .filter(({ name }) => name !== "settings")
      .map(async (table) => [table.name, await table.toArray()]),
  );
}

test("[hand-on 1] the file is named for the run and its time, and tells what is in it", async () => {
  const { run, store, desk } = await aDesk();
  await desk.tap(run, note("one"));
  const { value } = await handOnBundle(store, run, "everybody");
  expect(value).toMatchObject({ readers: "everybody", entries: 2, leftOut: 0 });
  expect(value?.file.name).toMatch(/^Monday \d{4}-\d\d-\d\d \d\d\.\d\d\.lanehold$/);
});

test("[hand-on 2] where the platform's sheet cannot take the file, or its person closes it, the file can be saved", async () => {
  const file = new File(["x"], "Monday.lanehold");
  const shares: readonly [unknown, string, boolean][] = [
    [undefined, "failed", false],
    [() => Promise.reject(new DOMException("No such ending.", "NotAllowedError")), "failed", true],
    [() => Promise.reject(new DOMException("Closed.", "AbortError")), "closed", true],
    [() => Promise.resolve(), "shared", true],
  ];
  for (const [share, came, can] of shares) {
    vi.stubGlobal("navigator", share === undefined ? {} : { share, canShare: () => true });
    expect(canShare(file)).toBe(can);
    expect(await shareFile(file)).toBe(came);
  }
  vi.unstubAllGlobals();
});

test("[read-bundle 1] [read-bundle 2] a run that is new here shows its root's letters, and is kept only when taken", async () => {
  const { testHub, run, store, desk } = await aDesk();
  const tablet = await aTablet(testHub, "Tablet");
  const own = storeOf(testHub, tablet);
  const before = await dumpOf(tablet);
  const offer = await offerOf(own, await fileOf(store, run));
  expect(offer).toMatchObject({ run, title: "Monday", makerName: "Desk", entries: 1 });
  expect(offer.letters).toBe(checkLetters(desk.device.device));
  expect(await dumpOf(tablet)).toEqual(before);
  expect((await offer.take()).value).toMatchObject({ added: 1, wereHere: 0, byBundlesOnly: true });
  const again = await offerOf(own, await fileOf(store, run));
  expect(again.letters).toBeNull();
  expect((await again.take()).value).toMatchObject({ added: 0, wereHere: 1, setAside: 0 });
  const live = await openPage(own, run);
  expect(live.link.value.hub).toBe("none");
  await until(() => live.entries.value.length === 1);
});

test("[read-bundle 1] a file that is no bundle, cut, or of another run is refused in words, and changes nothing", async () => {
  const { testHub, run, store, desk } = await aDesk();
  const tablet = await aTablet(testHub, "Tablet");
  const own = storeOf(testHub, tablet);
  const before = await dumpOf(tablet);
  const file = await fileOf(store, run);
  const cases = [
    [new Blob(["no bundle"]), null, /cut, damaged/],
    [file.slice(0, file.size - 3), null, /cut, damaged/],
    [file, `${desk.device.device}.other` as RunId, /another run/],
    [new Blob([]), null, /cut, damaged/],
  ] as const;
  for (const [blob, into, says] of cases) {
    const { refusal } = await readBundleFile(own, blob, into);
    expect(refusal?.says).toMatch(says);
    expect(refusal?.mend.length).toBeGreaterThan(10);
  }
  expect(await dumpOf(tablet)).toEqual(before);
});

test("[read-bundle 3] what a tablet without a hub wrote goes on to the hub by the device that read it", async () => {
  const { testHub, desk, run, store, stored, token } = await aDesk();
  await desk.loop.syncRun(run);
  const tablet = await aTablet(testHub, "Tablet");
  await joinOn(tablet, { tablet: desk, stored: { ...stored, token } }, crew);
  await tablet.loop.syncRun(run);
  await desk.loop.syncRun(run);
  await tablet.loop.syncRun(run);
  tablet.line.isCut = true;
  await tablet.tap(run, note("out of reach"));
  const offer = await offerOf(store, await fileOf(storeOf(testHub, tablet), run));
  const taken = await offer.take();
  expect(taken.value).toMatchObject({ added: 1, byBundlesOnly: false });
  const third = await aTablet(testHub, "Third");
  await joinOn(
    third,
    { tablet: desk, stored: { ...stored, token } },
    { role: "observer", lane: null },
  );
  await desk.loop.syncRun(run);
  await third.loop.syncRun(run);
  const texts = (await entriesOfRun(third.database, run)).map(({ body }) =>
    body.kind === "note.added" ? body.text : "",
  );
  expect(texts).toContain("out of reach");
});
