// A tablet that is put back to an older copy of its disk: what it wrote since is gone from it, it goes on
// from there, and so its chain forks.

import { entryText } from "../../machines/record/digest-entry.ts";
import { entriesAtHub } from "./at-hub.ts";
import { diskFromImage, imageOf } from "./disk.ts";
import { lookForCrash } from "./look-for-crash.ts";
import { restart } from "./simulated-device.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** Makes a copy of a device's disk, or puts the device back to the one that there is. */
export async function copyOrPutBack(
  simulation: Simulation,
  deviceMutable: SimulatedDevice,
): Promise<void> {
  const { disk, database, image, name, hasRun } = deviceMutable;
  if (image === null) {
    if (!hasRun) return;
    deviceMutable.image = imageOf(disk, database);
    return note(simulation, "image", name);
  }
  await forgetWhatIsLost(simulation, deviceMutable);
  deviceMutable.power.isOn = false;
  await lookForCrash(simulation, deviceMutable);
  deviceMutable.disk = await diskFromImage(`lanehold of ${name}`, image);
  restart(deviceMutable);
  deviceMutable.heldEntries.clear();
  simulation.putBack.add(deviceMutable.id);
  note(simulation, "put-back", name);
}

// What the hub has not is gone with the disk; no system could bring it back.
async function forgetWhatIsLost(
  simulation: Simulation,
  { acknowledged }: SimulatedDevice,
): Promise<void> {
  const there = new Set((await entriesAtHub(simulation)).map(entryText));
  const kept = acknowledged.filter((entry) => there.has(entryText(entry)));
  acknowledged.splice(0, acknowledged.length, ...kept);
}
