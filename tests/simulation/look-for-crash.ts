// What becomes of a device's doings when its power goes.

import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** If a device's power went, whatever it was doing is over. */
export async function lookForCrash(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  if (device.power.isOn) return;
  for (const message of simulation.network.messages.slice()) {
    if (message.device === device.name) simulation.network.settle(message, "cut");
  }
  await device.activity;
  device.database.close();
  note(simulation, "crash", device.name);
}
