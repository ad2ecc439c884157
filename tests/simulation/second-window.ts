// The app in a second window of one device: both write at once, or one writes while the other syncs.

import { openOnDisk } from "./disk.ts";
import { lookForCrash } from "./look-for-crash.ts";
import type { Message } from "./network.ts";
import { tapOn } from "./simulated-device.ts";
import type { SimulatedDevice, TapResult } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";
import { deviceOf, settle } from "./syncing.ts";

/** A person taps in both windows at once. */
export async function tapInTwoWindows(
  simulation: Simulation,
  device: SimulatedDevice,
): Promise<void> {
  const { disk, name, power } = device;
  const second = { ...device, database: openOnDisk(`lanehold of ${name}`, disk, power) };
  await second.database.open();
  const results = await Promise.all([
    tapNote(simulation, device, "first window"),
    tapNote(simulation, second, "second window"),
  ]);
  second.database.close();
  note(simulation, "tap-in-two-windows", `${name} ${results.map(({ type }) => type).join()}`);
  checkTaps(simulation, results);
  await lookForCrash(simulation, device);
}

/** A person taps while what the hub answered is being stored. */
export async function tapWhileStoring(simulation: Simulation, message: Message): Promise<void> {
  const device = deviceOf(simulation, message.device);
  const second = {
    ...device,
    database: openOnDisk(`lanehold of ${device.name}`, device.disk, device.power),
  };
  await second.database.open();
  const [result] = await Promise.all([
    tapNote(simulation, second, "while storing"),
    settle(simulation, message, "answer"),
  ]);
  second.database.close();
  note(simulation, "tap-while-storing", `${device.name} ${result.type}`);
  checkTaps(simulation, [result]);
  await lookForCrash(simulation, device);
}

/** Answers to pulls, which are stored next and have nothing else to wait for. */
export function pullsToStore({ network, devices }: Simulation): readonly Message[] {
  return network.messages.filter(({ answer, method, path, device }) => {
    const isPull = method === "GET" && path.includes("/entries") && answer?.status === 200;
    const at = devices.find(({ name }) => name === device);
    return isPull && at !== undefined && !at.isPartitioned && at.power.isOn;
  });
}

function tapNote(
  { run, clock }: Simulation,
  device: SimulatedDevice,
  text: string,
): Promise<TapResult> {
  const body = { kind: "note.added", text, step: null, oddity: false } as const;
  return tapOn(device, run, { body, position: device.lane }, clock.nowMs());
}

function checkTaps({ faults }: Simulation, results: readonly TapResult[]): void {
  for (const result of results) {
    if (result.type !== "refused" || result.error === "QuotaExceededError") continue;
    faults.push(`a tap in a second window is taken, or there is no room for it: ${result.error}`);
  }
}
