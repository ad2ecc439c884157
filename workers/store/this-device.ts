// Who this device is: a key pair, made once, and the name that its person gave it.
//
// [this-device 1] The key is made once and never changes, however many windows ask for it at once; its
//   fingerprint is the device's id.

import { assert } from "../../machines/base/assert.ts";
import { createDeviceKey } from "../keys/device-key.ts";
import type { Database, Device } from "./database.ts";
import { openOrFail, writeDurably } from "./write-durably.ts";

/**
 * This device; its key is made and stored at the first call.
 *
 * Errors: those of `writeDurably`, and `KeyFailedError`.
 */
export async function readDevice(database: Database): Promise<Device> {
  await openOrFail(database);
  const known = await database.device.get("self");
  if (known !== undefined) return known;
  // Outside of the transaction, which waits for nothing but the database.
  const { device, publicKey, privateKey } = await createDeviceKey();
  // A name to begin with, so that others can tell it apart before anybody has named it.
  const name = `Device ${device.slice(-4).toUpperCase()}`;
  return writeDurably(database, [database.device], async () => {
    const madeMeanwhile = await database.device.get("self");
    if (madeMeanwhile !== undefined) return madeMeanwhile;
    const made: Device = { key: "self", device, name, publicKey, privateKey };
    await database.device.add(made);
    return made;
  });
}

/** Gives this device a name. Errors: as `readDevice`. */
export async function nameDevice(database: Database, name: string): Promise<Device> {
  await readDevice(database);
  return writeDurably(database, [database.device], async () => {
    const known = await database.device.get("self");
    assert(known !== undefined, "a device that was read is there");
    const named: Device = { ...known, name };
    await database.device.put(named);
    return named;
  });
}
