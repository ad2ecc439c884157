// A tablet that is lost: the desk strikes it off, and may let it in again.

import { tapOn } from "./simulated-device.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** Devices that can be struck off: any in the run but directors'. */
export function devicesToStrikeOff({ devices, struckOff }: Simulation): readonly SimulatedDevice[] {
  return devices.filter(({ role, hasRun, name }) => {
    return role !== "director" && hasRun && !struckOff.has(name);
  });
}

/** The desk strikes a device off, if it can write now. */
export async function strikeOff(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  const { devices, run, clock, struckOff } = simulation;
  const desk = devices[0] as SimulatedDevice;
  if (!desk.power.isOn || desk.power.stepsLeft !== null) return;
  const body = { kind: "device.struck-off", struckOff: device.id, reason: "Lost." } as const;
  const { type } = await tapOn(desk, run, { body, position: null }, clock.nowMs());
  note(simulation, "strike-off", `${device.name} ${type}`);
  if (type === "taken") struckOff.add(device.name);
}
