// Joining a run and recovering one, as the shelf does it, against a hub.

import { expect, onTestFinished, test } from "vitest";
import type { JoinAsked, LiveShelf } from "../../../../app/live/live-shelf.ts";
import { createLiveShelf } from "../../../../app/live/open-live-shelf.ts";
import type { PositionId } from "../../../../machines/procedure/ids.ts";
import type { RunId } from "../../../../machines/record/ids.ts";
import { checkLetters } from "../../../../workers/keys/check-letters.ts";
import { entriesOfKind } from "../../../../workers/store/read-run.ts";
import { aHub } from "../../workers/hub/a-hub.ts";
import type { TestHub } from "../../workers/hub/a-hub.ts";
import { aTablet, openOn } from "../../workers/link/a-tablet.ts";
import type { Tablet } from "../../workers/link/a-tablet.ts";
import { storeOf, until } from "./a-page.ts";

const ev1 = "ev1" as PositionId;
const unreachable = "The hub cannot be reached from here.";

/** A desk with a run at the hub, and another tablet with its shelf. */
async function aDeskAndAnother() {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  const shelf = await openShelf(testHub, desk);
  const { run } = await openOn(desk, testHub);
  await desk.loop.syncRun(run);
  const tablet = await aTablet(testHub, "New");
  const other = await openShelf(testHub, tablet);
  await until(() => other.procedures.value.length > 0);
  const invite = async () => (await shelf.invite(run, "crew", ev1)).value!.code;
  return { testHub, desk, shelf, run, tablet, other, invite };
}

/** A shelf that is looked at until the test ends. */
async function openShelf(testHub: TestHub, tablet: Tablet): Promise<LiveShelf> {
  const shelf = await createLiveShelf(storeOf(testHub, tablet));
  for (const rows of [shelf.procedures, shelf.runs])
    onTestFinished(rows.subscribe(() => undefined));
  return shelf;
}

function asked(code: string, scanned: RunId | null = null): JoinAsked {
  return { code, deviceName: "EV1 tablet", scanned };
}

test("[live-shelf 1] joining by code: unknown, out of reach, and in", async () => {
  const { run, tablet, other, invite } = await aDeskAndAnother();
  expect((await other.askToJoin(asked("BBBB-BBBB"))).refusal?.says).toBeTruthy();
  const code = await invite();
  tablet.line.isCut = true;
  expect((await other.askToJoin(asked(code))).refusal?.says).toBe(unreachable);
  expect(await tablet.database.runs.count()).toBe(0);
  tablet.line.isCut = false;
  const offer = await other.askToJoin(asked(` ${code.toLowerCase().replace("-", " ")} `));
  expect(offer.value).toMatchObject({ run, role: "crew", lane: ev1 });
  expect((await offer.value!.keep()).value).toBe(run);
  await until(() => other.runs.value.length === 1);
  expect(other.runs.value[0]).toMatchObject({ role: "crew", lane: "ev1", hasProcedure: true });
});

test("[join 1] if the answer to a join is lost, the same code gets the device in all the same", async () => {
  const { run, tablet, other, invite } = await aDeskAndAnother();
  const code = await invite();
  tablet.line.mishaps = ["answer-cut"];
  expect((await other.askToJoin(asked(code))).refusal).not.toBeNull();
  expect((await other.askToJoin(asked(code))).value?.run).toBe(run);
});

test("[join 1] a device that was let in and kept nothing comes in by another code", async () => {
  const { run, other, invite } = await aDeskAndAnother();
  expect((await other.askToJoin(asked(await invite()))).value?.run).toBe(run);
  const offer = await other.askToJoin(asked(await invite()));
  expect(offer.value?.run ?? offer.refusal).toBe(run);
});

test("[join 1] a device that was struck off comes back by another code", async () => {
  const { desk, run, tablet, other, invite } = await aDeskAndAnother();
  await (await other.askToJoin(asked(await invite()))).value!.keep();
  await desk.loop.syncRun(run);
  const struckOff = tablet.device.device;
  await desk.tap(run, { kind: "device.struck-off", struckOff, reason: "Tablet lost" });
  await desk.loop.syncRun(run);
  const offer = await other.askToJoin(asked(await invite()));
  expect(offer.value?.run ?? offer.refusal).toBe(run);
});

test("[join 2] a typed code keeps nothing until the letters, which are those of the run's root, are agreed to", async () => {
  const { desk, tablet, other, invite } = await aDeskAndAnother();
  const offer = (await other.askToJoin(asked(await invite()))).value!;
  expect(offer.letters).toBe(checkLetters(desk.device.device));
  expect(await tablet.database.runs.count()).toBe(0);
  expect(await tablet.database.links.count()).toBe(0);
  await offer.keep();
  expect(await tablet.database.runs.count()).toBe(1);
});

test("[join 3] a scanned code lets into the run that was scanned with it, and into no other", async () => {
  const { run, tablet, other, invite } = await aDeskAndAnother();
  const foreign = `${tablet.device.device}.abcdefghijklm` as RunId;
  const refused = await other.askToJoin(asked(await invite(), foreign));
  expect(refused.refusal?.says).toContain("another run");
  expect(await tablet.database.runs.count()).toBe(0);
  const offer = await other.askToJoin(asked(await invite(), run));
  expect(offer.value?.run ?? offer.refusal).toBe(run);
});

async function aRunToRecover() {
  const testHub = await aHub();
  const desk = await aTablet(testHub, "Desk");
  const shelf = await openShelf(testHub, desk);
  await until(() => shelf.procedures.value.length > 0);
  const opened = (await shelf.openRun(testHub.procedure, "Monday", true)).value!;
  await desk.loop.syncRun(opened.run);
  const tablet = await aTablet(testHub, "Spare");
  const other = await openShelf(testHub, tablet);
  await until(() => other.procedures.value.length > 0);
  return { testHub, desk, shelf, opened, tablet, other };
}

test("[live-shelf 1] a run opened with a recovery shows its code once; without, none", async () => {
  const { testHub, shelf, opened } = await aRunToRecover();
  expect(opened.recoveryCode).toMatch(/^([A-Z]{4}-){4}[A-Z]{4}$/);
  const alone = await shelf.openRun(testHub.procedure, "Alone", false);
  expect(alone.value?.recoveryCode).toBeNull();
});

test("[recover-run-here 1] the code makes a device a director's by way of the hub", async () => {
  const { desk, opened, tablet, other } = await aRunToRecover();
  const recovered = await other.recoverRun(opened.recoveryCode!, "Spare desk");
  expect(recovered.refusal).toBeNull();
  expect(await tablet.database.runs.get(opened.run)).toMatchObject({ role: "director" });
  await tablet.loop.syncRun(opened.run);
  await desk.loop.syncRun(opened.run);
  const joined = await entriesOfKind(desk.database, opened.run, "device.joined");
  expect(joined.map(({ body }) => [body.joined, body.role, body.deviceName])).toContainEqual([
    tablet.device.device,
    "director",
    "Spare desk",
  ]);
});

test("[recover-run-here 1] a tablet that has the run becomes a director's with no hub in reach", async () => {
  const { desk, shelf, opened, tablet, other } = await aRunToRecover();
  const { code } = (await shelf.invite(opened.run, "crew", ev1)).value!;
  await (await other.askToJoin(asked(code))).value!.keep();
  await desk.loop.syncRun(opened.run);
  await tablet.loop.syncRun(opened.run);
  tablet.line.isCut = true;
  expect((await other.recoverRun(opened.recoveryCode!, "EV1 tablet")).value).toBe(opened.run);
  expect(await tablet.database.runs.get(opened.run)).toMatchObject({
    role: "director",
    lane: null,
  });
});

test("[recover-run-here 2] a wrong code changes nothing, and the right one may be tried again", async () => {
  const { opened, tablet, other } = await aRunToRecover();
  const wrong = "BCDF-GHJK-LMNP-QRST-VWXZ";
  expect((await other.recoverRun(wrong, "Spare")).refusal?.says).toBeTruthy();
  expect(await tablet.database.runs.count()).toBe(0);
  tablet.line.mishaps = ["answer-cut"];
  expect((await other.recoverRun(opened.recoveryCode!, "Spare")).refusal).not.toBeNull();
  expect((await other.recoverRun(opened.recoveryCode!, "Spare")).value).toBe(opened.run);
  expect((await other.recoverRun(opened.recoveryCode!, "Spare")).value).toBe(opened.run);
});
