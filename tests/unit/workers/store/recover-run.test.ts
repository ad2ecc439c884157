import { expect, test } from "vitest";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { createRecovery } from "../../../../workers/keys/recovery-key.ts";
import { verifyHead } from "../../../../workers/keys/verify-head.ts";
import { appendEntry } from "../../../../workers/store/append-entry.ts";
import type { Database } from "../../../../workers/store/database.ts";
import { openRun } from "../../../../workers/store/open-run.ts";
import { entriesOfRun } from "../../../../workers/store/read-run.ts";
import { recoverRun } from "../../../../workers/store/recover-run.ts";
import { storePulled } from "../../../../workers/store/store-pulled.ts";
import { readDevice } from "../../../../workers/store/this-device.ts";
import {
  aDatabase,
  aReadSegment,
  anIdentity,
  note,
  pulledOf,
} from "../../../support/a-database.ts";
import { aProcedure } from "../../../support/a-procedure.ts";

const wallMs = 1_700_000_000_000;

// A run that was opened on a device that is lost since, as far as a second device has heard of it.
async function lostRun() {
  const lost = aDatabase();
  const recovery = await createRecovery();
  const opened = { procedure: anIdentity, title: "Monday", device: await readDevice(lost) };
  const { run } = await openRun(lost, { ...opened, recovery, wallMs });
  const entries = await entriesOfRun(lost, run);
  const database = aDatabase();
  const { device } = await readDevice(database);
  const segments = [aReadSegment(entries)];
  await storePulled(database, pulledOf([], { run, segments, own: device }));
  return { run, code: recovery.code, database, device };
}

async function roleOf(database: Database, run: RunId, device: DeviceId) {
  const body = note("who am I");
  await appendEntry(database, { run, device, position: null, body, wallMs: wallMs + 9_000 });
  const { ordered } = orderEntries(await entriesOfRun(database, run));
  const state = foldRun(indexProcedure(aProcedure()), ordered);
  return state.devices[device]?.role;
}

test("[recover-run 1] [admit-devices 1] the code makes another device a director's, on every replica", async () => {
  const { run, code, database, device } = await lostRun();
  expect(await roleOf(database, run, device)).toBeUndefined();
  expect(await recoverRun(database, run, code.toLowerCase(), wallMs + 1_000)).toBe("recovered");
  expect(await roleOf(database, run, device)).toBe("director");
  const heads = await database.signedHeads.toArray();
  const byRecovery = heads.filter((head) => head.signature !== "A".repeat(86));
  expect(byRecovery).toHaveLength(1);
  expect(await verifyHead(byRecovery[0]!)).toBe(true);
});

test("[recover-run 2] a wrong code changes nothing", async () => {
  const { run, database } = await lostRun();
  const before = await entriesOfRun(database, run);
  expect(await recoverRun(database, run, "BCDF-GHJK-BCDF-GHJK-BCDF", wallMs)).toBe("code-wrong");
  expect(await recoverRun(database, run, "nothing", wallMs)).toBe("code-wrong");
  expect(await recoverRun(database, "unknown.run" as RunId, "nothing", wallMs)).toBe("not-here");
  expect(await entriesOfRun(database, run)).toEqual(before);
});
