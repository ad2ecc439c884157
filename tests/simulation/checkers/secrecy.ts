// Before the run is closed, nothing of an inject that is not live is on any device but a director's.

import { entriesOfRun } from "../../../workers/store/read-run.ts";
import type { Simulation } from "../simulation.ts";

/** What got out. */
export async function checkSecrecy({ devices, run }: Simulation): Promise<readonly string[]> {
  const faults: string[] = [];
  for (const { name, role, database } of devices) {
    if (role === "director") continue;
    const aside = (await database.setAside.toArray()).map(({ entry }) => entry);
    for (const { device, seq, body } of [...(await entriesOfRun(database, run)), ...aside]) {
      const isOwn = devices.some((one) => one.name === name && one.id === device);
      if (isOwn || (body.kind !== "inject.armed" && body.kind !== "inject.graded")) continue;
      faults.push(`injects stay with directors before they are live: ${name} has ${device}:${seq}`);
    }
  }
  return faults;
}
