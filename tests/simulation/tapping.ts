// A tap of a simulated person, and what must hold at once.

import { canonicalJson } from "../../machines/base/canonical-json.ts";
import { foldRun } from "../../machines/record/fold-run.ts";
import { orderEntries } from "../../machines/record/order-entries.ts";
import { entriesAfter, entriesOfRun } from "../../workers/store/read-run.ts";
import { lookForCrash } from "./look-for-crash.ts";
import { wishOf } from "./people.ts";
import { tapOn } from "./simulated-device.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** A person looks at the device and taps. */
export async function tapAsPerson(simulation: Simulation, device: SimulatedDevice): Promise<void> {
  const { run, index, random, clock } = simulation;
  let wish;
  let ownBefore = 0;
  try {
    const entries = await entriesOfRun(device.database, run);
    const state = foldRun(index, orderEntries(entries).ordered);
    wish = wishOf({ device, index, entries, state, random });
    ownBefore = entries.filter((entry) => entry.device === device.id).length;
  } catch (cause) {
    // The power went while the screen was drawn; anything else is a mistake.
    if (device.power.isOn) throw cause;
    return lookForCrash(simulation, device);
  }
  const result = await tapOn(device, run, wish, clock.nowMs());
  const what = result.type === "refused" ? `refused ${result.error}` : result.type;
  note(simulation, `tap-${result.type}`, `${device.name} ${canonicalJson(wish.body)} ${what}`);
  if (result.type === "refused" && result.error !== "QuotaExceededError") {
    simulation.faults.push(`a tap is taken, or there is no room for it: ${result.error}`);
  }
  if (result.type === "refused") await checkNothingKept(simulation, device, ownBefore);
  await lookForCrash(simulation, device);
}

// [write-durably 2]: what was refused is not there. Clock notes are the device's own.
async function checkNothingKept(
  { run, faults }: Simulation,
  { database, id, name, power }: SimulatedDevice,
  ownBefore: number,
): Promise<void> {
  if (!power.isOn) return;
  power.stepsLeft = null;
  const kept = await entriesAfter(database, { run, device: id }, ownBefore);
  const isKept = kept.some(({ body }) => !body.kind.startsWith("clock."));
  if (isKept) faults.push(`refused taps are not kept: ${name} kept one`);
}
