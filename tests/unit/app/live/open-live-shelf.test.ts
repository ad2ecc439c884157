import { expect, onTestFinished, test } from "vitest";
import { exportRunJson } from "../../../../app/live/export-run.ts";
import { takeWaitingUpdate, underWayMsMax } from "../../../../app/live/follow-update.ts";
import type { LiveShelf } from "../../../../app/live/live-shelf.ts";
import { createLiveShelf } from "../../../../app/live/open-live-shelf.ts";
import { appendEntry } from "../../../../workers/store/append-entry.ts";
import { entriesOfRun } from "../../../../workers/store/read-run.ts";
import { RunOpenError } from "../../../../workers/store/run-open-error.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aHub } from "../../workers/hub/a-hub.ts";
import type { TestHub } from "../../workers/hub/a-hub.ts";
import { aTablet, openOn } from "../../workers/link/a-tablet.ts";
import type { Tablet } from "../../workers/link/a-tablet.ts";
import { storeOf, until } from "./a-page.ts";

async function aShelf(prepare: (tablet: Tablet) => void = () => undefined) {
  const testHub = await aHub();
  const tablet = await aTablet(testHub, "Desk");
  prepare(tablet);
  return { testHub, tablet, shelf: await openShelf(testHub, tablet) };
}

/** A shelf that is looked at until the test ends. */
async function openShelf(testHub: TestHub, tablet: Tablet): Promise<LiveShelf> {
  const shelf = await createLiveShelf(storeOf(testHub, tablet));
  for (const rows of [shelf.procedures, shelf.runs])
    onTestFinished(rows.subscribe(() => undefined));
  return shelf;
}

function cut(tablet: Tablet): void {
  tablet.line.isCut = true;
}

test("[live-shelf 2] the hub's procedures are stored at the first visit and stay without it", async () => {
  const { testHub, tablet, shelf } = await aShelf();
  await until(() => shelf.procedures.value.length === 1);
  expect(shelf.hub.value).toBe("online");
  tablet.line.isCut = true;
  expect((await shelf.fetchProcedures()).refusal?.says).toBe(
    "The hub cannot be reached from here.",
  );
  expect(shelf.hub.value).toBe("offline");
  const [listed] = shelf.procedures.value;
  expect(listed).toMatchObject({ identity: testHub.procedure, title: aProcedure().title });
  expect(await shelf.readProcedure(listed!.identity)).toEqual(aProcedure());
});

test("[live-shelf 1] a run is opened without any hub, and shows on the shelf as unsent", async () => {
  const { shelf } = await aShelf(cut);
  const imported = await shelf.importProcedure(JSON.stringify(aProcedure()));
  expect(imported.faults).toEqual([]);
  const opened = await shelf.openRun(imported.identity!, "  Monday  ", false);
  expect(opened.refusal).toBeNull();
  await until(() => shelf.runs.value.length === 1);
  expect(shelf.runs.value[0]).toMatchObject({
    run: opened.value!.run,
    title: "Monday",
    role: "director",
    unsent: 1,
    hasProcedure: true,
    closed: false,
  });
});

test("[live-shelf 3] lists stand still while nobody looks, and catch up when looked at", async () => {
  const testHub = await aHub();
  const tablet = await aTablet(testHub, "Desk");
  const unseen = await createLiveShelf(storeOf(testHub, tablet));
  const seen = await openShelf(testHub, tablet);
  const stopLooking = unseen.runs.subscribe(() => undefined);
  await openOn(tablet, testHub);
  await until(() => unseen.runs.value.length === 1);
  stopLooking();
  await openOn(tablet, testHub);
  await until(() => seen.runs.value.length === 2);
  expect(unseen.runs.value).toHaveLength(1);
  onTestFinished(unseen.runs.subscribe(() => undefined));
  await until(() => unseen.runs.value.length === 2);
});

test("[live-shelf 1] a procedure with faults is refused with all of them and changes nothing", async () => {
  const { tablet, shelf } = await aShelf(cut);
  const wrong = JSON.stringify({ ...aProcedure(), title: 3, revision: null });
  const imported = await shelf.importProcedure(wrong);
  expect(imported.identity).toBeNull();
  expect(imported.faults.map((fault) => fault.path)).toEqual(
    expect.arrayContaining(["/title", "/revision"]),
  );
  expect((await shelf.importProcedure("{ cut")).faults).toHaveLength(1);
  expect(await tablet.database.procedures.count()).toBe(0);
});

test("[live-shelf 1] names and titles that are empty or too long are refused in words", async () => {
  const { shelf, testHub } = await aShelf(cut);
  expect((await shelf.nameDevice("   ")).refusal?.mend).toContain("between 1 and 200");
  expect((await shelf.openRun(testHub.procedure, "x".repeat(201), true)).refusal).not.toBeNull();
  expect((await shelf.nameDevice(" EV1 tablet ")).value).toBe("EV1 tablet");
  expect(shelf.deviceName.value).toBe("EV1 tablet");
});

test("[export-run 1] the export holds procedure and record, and no secret", async () => {
  const { testHub, tablet, shelf } = await aShelf(cut);
  const { run, token } = await openOn(tablet, testHub);
  const text = (await shelf.exportRunJson(run)).value!;
  expect(JSON.parse(text)).toMatchObject({
    format: "lanehold.run-export",
    formatVersion: 1,
    run,
    procedure: aProcedure(),
    entries: await entriesOfRun(tablet.database, run),
  });
  expect(text).not.toContain(token);
  await expect(exportRunJson(tablet.database, "nowhere" as never)).rejects.toThrow(
    "not on this device",
  );
});

test("[follow-update 1] a new version is not taken while a run is under way here", async () => {
  const { testHub, tablet, shelf } = await aShelf(cut);
  const { run } = await openOn(tablet, testHub);
  expect((await shelf.takeUpdate()).refusal?.says).toContain("Monday");
  const nowMs = testHub.clock.nowMs();
  await expect(takeWaitingUpdate(tablet.database, nowMs)).rejects.toThrow(RunOpenError);
  await takeWaitingUpdate(tablet.database, nowMs + underWayMsMax);
  const by = { run, device: tablet.device.device, position: null, wallMs: nowMs };
  await appendEntry(tablet.database, { ...by, body: { kind: "run.closed" } });
  expect((await shelf.takeUpdate()).refusal).toBeNull();
});
