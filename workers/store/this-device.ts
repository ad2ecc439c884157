// Who this device is: an id, made once, and the name that its person gave it.
//
// [this-device 1] The id is made once and never changes, however many windows ask for it at once.

import type { Database, Device } from "./database.ts";
import { createDeviceId } from "../keys/random-id.ts";
import { writeDurably } from "./write-durably.ts";

/**
 * This device; its id is made and stored at the first call.
 *
 * @param wallMs this device's clock, milliseconds since 1970
 * Errors: those of `writeDurably`.
 */
export async function readDevice(database: Database, wallMs: number): Promise<Device> {
  return writeDurably(database, [database.device], async () => {
    const known = await database.device.get("self");
    if (known !== undefined) return known;
    const id = createDeviceId(wallMs);
    // A name to begin with, so that others can tell it apart before anybody has named it.
    const name = `Device ${id.slice(-4).toUpperCase()}`;
    const device: Device = { key: "self", device: id, name };
    await database.device.add(device);
    return device;
  });
}

/** Gives this device a name. `wallMs` as in `readDevice`. Errors: those of `writeDurably`. */
export async function nameDevice(
  database: Database,
  name: string,
  wallMs: number,
): Promise<Device> {
  return writeDurably(database, [database.device], async () => {
    const known = await database.device.get("self");
    const device: Device = {
      key: "self",
      device: known?.device ?? createDeviceId(wallMs),
      name,
    };
    await database.device.put(device);
    return device;
  });
}
