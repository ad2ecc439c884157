// A director's device giving rights to devices that the hub has let in.
//
// [admit-devices 1] One `device.joined` for each device, role and lane, however often it is told; after a
//   strike-off, one more.
// [admit-devices 2] No device lets itself in: its letter would count for nothing, and the hub would ask no
//   other director for one.

import { authorAt, admitDevices as readAdmissions } from "../../machines/record/admit-devices.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { orderEntries } from "../../machines/record/order-entries.ts";
import type { Admission } from "../../machines/sync/join.ts";
import { appendWithin } from "./append-entry.ts";
import type { Database } from "./database.ts";
import { entriesOfKind, entriesOfRun } from "./read-run.ts";
import { writeDurably } from "./write-durably.ts";

/** For which run, by which device, and its clock, milliseconds since 1970. */
export type AdmitBy = { readonly run: RunId; readonly device: DeviceId; readonly wallMs: number };

/**
 * Writes `device.joined` for each device that the record does not name yet with this role and lane, or has
 * struck off since.
 *
 * @returns how many were written
 * Errors: those of `writeDurably`; then none is written.
 */
export async function admitDevices(
  database: Database,
  by: AdmitBy,
  admissions: readonly Admission[],
): Promise<number> {
  return writeDurably(database, [database.entries, database.heads], async () => {
    const joined = await entriesOfKind(database, by.run, "device.joined");
    const known = new Set(joined.map((entry) => admissionName(entry.body.joined, entry.body)));
    const out = await devicesOut(database, by.run);
    const fresh = admissions.filter((one) => {
      const isNamed = known.has(admissionName(one.device, one)) && !out.has(one.device);
      return one.device !== by.device && !isNamed;
    });
    for (const { device, role, lane, deviceName } of fresh) {
      const body = { kind: "device.joined", joined: device, role, lane, deviceName } as const;
      await appendWithin(database, { ...by, position: null, body });
    }
    return fresh.length;
  });
}

// The devices that are struck off, as the record stands. Only then is the whole of it read and ordered.
async function devicesOut(database: Database, run: RunId): Promise<ReadonlySet<DeviceId>> {
  const letters = await entriesOfKind(database, run, "device.struck-off");
  if (letters.length === 0) return new Set();
  const { ordered } = orderEntries(await entriesOfRun(database, run));
  const admitted = readAdmissions(ordered);
  const devices = letters.map(({ body }) => body.struckOff);
  return new Set(
    devices.filter((device) => authorAt(admitted, device, ordered.length).role === null),
  );
}

function admissionName(device: DeviceId, as: Pick<Admission, "role" | "lane">): string {
  return `${device} ${as.role} ${as.lane ?? ""}`;
}
