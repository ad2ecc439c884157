// What goes over the line: no answer to any but a director tells of an inject before the run is closed, and
// none tells a device that was struck off anything of the record.

import type { Answer, Request } from "../network.ts";
import type { SimulatedDevice } from "../simulated-device.ts";
import type { Simulation } from "../simulation.ts";

/** What an answer of the hub told and should not have. */
export async function checkTraffic(
  { hub, run }: Simulation,
  device: SimulatedDevice,
  { path, method }: Request,
  answer: Answer,
): Promise<readonly string[]> {
  if (!path.includes(run) || method !== "GET" || answer.status !== 200) return [];
  const at = await hub.storage().readDevice(run, device.id);
  const faults: string[] = [];
  if (at?.isStruckOff === true) {
    faults.push(`who was struck off hears nothing: ${device.name} is answered`);
  }
  if (device.role === "director") return faults;
  if ((await hub.storage().readRun(run))?.isClosed === true) return faults;
  const text = new TextDecoder().decode(answer.body);
  for (const kind of ["inject.armed", "inject.graded"]) {
    if (text.includes(`"${kind}"`)) {
      faults.push(`answers tell crew nothing of an inject: ${device.name} is sent ${kind}`);
    }
  }
  return faults;
}
