import { expect, test } from "vitest";
import { admitDevices } from "../../../../workers/store/admit-devices.ts";
import { entriesOfKind } from "../../../../workers/store/read-run.ts";
import { aDatabase, ev1, me, other, theRun } from "../../../support/a-database.ts";

const by = { run: theRun, device: me, wallMs: 1_700_000_000_000 };
const crew = { device: other, role: "crew", lane: ev1, deviceName: "EV1 tablet" } as const;
const self = { device: me, role: "director", lane: null, deviceName: "Desk" } as const;

test("[admit-devices 2] no device lets itself in", async () => {
  const database = aDatabase();
  expect(await admitDevices(database, by, [self, crew])).toBe(1);
  const letters = await entriesOfKind(database, theRun, "device.joined");
  expect(letters.map(({ body }) => body.joined)).toEqual([other]);
  expect(await admitDevices(database, by, [self, crew])).toBe(0);
});
