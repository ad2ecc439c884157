import { expect, test } from "vitest";
import { rootOfRun } from "../../../../machines/record/ids.ts";
import { readEntry } from "../../../../machines/record/read-entry.ts";
import type { Identity } from "../../../../machines/procedure/ids.ts";
import { deviceIdOfKey } from "../../../../workers/keys/device-id.ts";
import { admitDevices } from "../../../../workers/store/admit-devices.ts";
import type { Database, Device } from "../../../../workers/store/database.ts";
import { storeJoinedRun } from "../../../../workers/store/join-run.ts";
import { openRun } from "../../../../workers/store/open-run.ts";
import { isAdmitted, isClosed, isInCharge } from "../../../../workers/store/read-rights.ts";
import {
  entriesOfRun,
  readLink,
  readRuns,
  unsentOfRun,
} from "../../../../workers/store/read-run.ts";
import { readStorageRoom } from "../../../../workers/store/storage-room.ts";
import { nameDevice, readDevice } from "../../../../workers/store/this-device.ts";
import { writeProcedure } from "../../../../workers/store/write-procedure.ts";
import { appendEntry } from "../../../../workers/store/append-entry.ts";
import { aDatabase, anIdentity, anotherWindow, ev1, other } from "../../../support/a-database.ts";
import { aProcedure } from "../../../support/a-procedure.ts";

const wallMs = 1_700_000_000_000;

async function opened(database: Database) {
  const device: Device = await readDevice(database);
  const stored = await openRun(database, {
    procedure: anIdentity,
    title: "Monday",
    device,
    recovery: null,
    wallMs,
  });
  return { device, stored };
}

test("[this-device 1] a device has one id for ever, and a name from the beginning", async () => {
  const database = aDatabase();
  const windows = [database, anotherWindow(database)];
  const both = await Promise.all(windows.map((window) => readDevice(window)));
  expect(both[0]).toEqual(both[1]);
  expect(both[0]!.name).toMatch(/^Device [A-Z2-7]{4}$/);
  const named = await nameDevice(database, "EV1 tablet");
  expect(named).toEqual({ ...both[0], name: "EV1 tablet" });
  expect(await readDevice(database)).toEqual(named);
});

test("[this-device 1] its id is the fingerprint of its key, and its private key cannot be read out", async () => {
  const database = aDatabase();
  const { device, publicKey, privateKey } = await readDevice(database);
  expect(device).toBe(deviceIdOfKey(publicKey));
  expect(privateKey.extractable).toBe(false);
  await expect(crypto.subtle.exportKey("pkcs8", privateKey)).rejects.toThrow();
});

test("[open-run 1] a run that is opened has its first entry, which any reader passes", async () => {
  const database = aDatabase();
  const { device, stored } = await opened(database);
  const entries = await entriesOfRun(database, stored.run);
  expect(entries.map((entry) => entry.body)).toEqual([
    {
      kind: "run.opened",
      procedure: anIdentity,
      title: "Monday",
      deviceName: device.name,
      recovery: null,
    },
  ]);
  expect(rootOfRun(stored.run)).toBe(device.device);
  expect(entries.flatMap((entry) => readEntry(entry).faults)).toEqual([]);
  expect(await readLink(database, stored.run)).toMatchObject({
    registered: false,
    confirmedSeq: 0,
  });
  expect(await unsentOfRun(database, { run: stored.run, device: device.device })).toBe(1);
  expect(await readRuns(database)).toEqual([stored]);
});

test("[open-run 1] a run whose first entry cannot be stored is not there at all", async () => {
  const database = aDatabase();
  const device = await readDevice(database);
  database.entries.hook("creating").subscribe(() => {
    throw new DOMException("disk", "UnknownError");
  });
  const what = { procedure: anIdentity, title: "Monday", recovery: null };
  const opening = openRun(database, { ...what, device, wallMs });
  await expect(opening).rejects.toThrow("The store on this device failed");
  expect(await database.runs.count()).toBe(0);
  expect(await database.links.count()).toBe(0);
});

test("[join-run 1] joining again with another code changes role and token and keeps what is held", async () => {
  const database = aDatabase();
  const { stored, device } = await opened(database);
  const answer = { run: stored.run, title: "Monday", procedure: anIdentity, lane: ev1 };
  await storeJoinedRun(database, { ...answer, role: "crew" }, "new token", wallMs + 1);
  expect(await database.runs.get(stored.run)).toMatchObject({
    role: "crew",
    lane: ev1,
    token: "new token",
    opener: true,
    storedAtMs: wallMs,
  });
  expect(await unsentOfRun(database, { run: stored.run, device: device.device })).toBe(1);
});

test("[admit-devices 1] each admission is written once, however often the hub tells it", async () => {
  const database = aDatabase();
  const { stored, device } = await opened(database);
  const by = { run: stored.run, device: device.device, wallMs };
  const admission = { device: other, deviceName: "Other", role: "crew", lane: ev1 } as const;
  expect(await admitDevices(database, by, [admission])).toBe(1);
  expect(await admitDevices(database, by, [admission])).toBe(0);
  const asReader = { ...admission, role: "reader", lane: null } as const;
  expect(await admitDevices(database, by, [admission, asReader])).toBe(1);
  expect((await entriesOfRun(database, stored.run)).map((entry) => entry.body.kind)).toEqual([
    "run.opened",
    "device.joined",
    "device.joined",
  ]);
});

test("[admit-devices 1] a device that was struck off is let in once more when it has joined again", async () => {
  const database = aDatabase();
  const { stored, device } = await opened(database);
  const by = { run: stored.run, device: device.device, wallMs };
  const admission = { device: other, deviceName: "Other", role: "crew", lane: ev1 } as const;
  await admitDevices(database, by, [admission]);
  const body = { kind: "device.struck-off", struckOff: other, reason: "Tablet lost" } as const;
  await appendEntry(database, { ...by, position: null, body });
  expect(await admitDevices(database, by, [admission])).toBe(1);
  expect(await admitDevices(database, by, [admission])).toBe(0);
});

test("[read-rights 1] rights are what the record says, not what the hub said", async () => {
  const database = aDatabase();
  const { stored, device } = await opened(database);
  expect(await isInCharge(database, stored, device.device)).toBe(true);
  const joined = { ...stored, opener: false };
  expect(await isAdmitted(database, joined, device.device)).toBe(false);
  const by = { run: stored.run, device: device.device, wallMs };
  const letter = { kind: "device.joined", joined: device.device, role: "director" } as const;
  const body = { ...letter, lane: null, deviceName: "Me" };
  await appendEntry(database, { ...by, device: other, position: null, body });
  expect(await isInCharge(database, joined, device.device)).toBe(true);
  expect(await isClosed(database, stored.run)).toBe(false);
  await appendEntry(database, { ...by, position: null, body: { kind: "run.closed" } });
  expect(await isClosed(database, stored.run)).toBe(true);
});

test("[write-procedure 1] a procedure is stored once, under its identity", async () => {
  const database = aDatabase();
  const identities: Identity[] = [];
  for (const later of [0, 1]) {
    identities.push(await writeProcedure(database, aProcedure(), wallMs + later));
  }
  expect(identities[0]).toBe(identities[1]);
  expect(await database.procedures.toArray()).toEqual([
    { identity: identities[0], procedure: aProcedure(), storedAtMs: wallMs },
  ]);
  expect(await writeProcedure(database, aProcedure({ revision: "Z" }), wallMs)).not.toBe(
    identities[0],
  );
});

test("[storage-room 1] what the browser does not tell is not made up", async () => {
  const nothing = { usedBytes: null, quotaBytes: null, persisted: null };
  expect(await readStorageRoom(undefined)).toEqual(nothing);
  const telling = {
    estimate: async () => ({ usage: 5, quota: 50 }),
    persisted: () => Promise.reject(new Error("not allowed")),
  };
  expect(await readStorageRoom(telling as unknown as StorageManager)).toEqual({
    usedBytes: 5,
    quotaBytes: 50,
    persisted: null,
  });
});
