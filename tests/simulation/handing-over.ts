// Records handed on as files, from one device to another, past the hub.

import { canonicalJson } from "../../machines/base/canonical-json.ts";
import { BundleRefusedError } from "../../workers/link/bundle-refused-error.ts";
import { makeBundle } from "../../workers/link/make-bundle.ts";
import { openBundle } from "../../workers/link/open-bundle.ts";
import { takeBundle } from "../../workers/link/take-bundle.ts";
import { happens, pick } from "./chance.ts";
import { recordsOnDisk } from "./disk.ts";
import { lookForCrash } from "./look-for-crash.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { note } from "./simulation.ts";
import type { Simulation } from "./simulation.ts";

/** Somebody makes a file of the record on a device, and reads it on another; now and then damaged. */
export async function handOver(simulation: Simulation, from: SimulatedDevice): Promise<void> {
  const { devices, random } = simulation;
  const others = devices.filter((device) => {
    return device !== from && device.hasRun && device.power.isOn && device.activity === null;
  });
  if (others.length === 0) return;
  const to = pick(random, others);
  const came = await carryFile(simulation, from, to).catch((cause: unknown) => {
    return cause instanceof Error ? cause.name : String(cause);
  });
  const isOff = !from.power.isOn || !to.power.isOn;
  note(simulation, "hand-over", `${from.name} ${to.name} ${isOff ? "crashed" : came}`);
  if (!isOff && !usualEnds.has(came)) {
    simulation.faults.push(`a file is taken, or refused with the reason: ${came}`);
  }
  await lookForCrash(simulation, from);
  await lookForCrash(simulation, to);
}

const usualEnds: ReadonlySet<string> = new Set([
  "taken",
  "foreign",
  "damaged",
  "QuotaExceededError",
  "ProcedureMissingError",
]);

async function carryFile(
  { run, random, faults }: Simulation,
  from: SimulatedDevice,
  to: SimulatedDevice,
): Promise<string> {
  const areDirectors = from.role === "director" && to.role === "director";
  const readers = areDirectors && happens(random, 0.5) ? "directors" : "everybody";
  const wish = { run, readers, wallMs: from.readWallMs() } as const;
  const { bytes } = await makeBundle(from.database, wish);
  const isDamaged = happens(random, 0.3);
  if (isDamaged) damage(bytes, random.nextBelow(bytes.length), 1 + random.nextBelow(255));
  const before = pictureOf(to);
  try {
    const opened = await openBundle(to.database, bytes, run);
    if (isDamaged && !to.power.isOn) return "crashed";
    await takeBundle(to.database, opened, to.readWallMs());
    const once = pictureOf(to);
    await takeBundle(to.database, opened, to.readWallMs());
    if (pictureOf(to) !== once) faults.push("reading a bundle twice changes nothing: it does");
    return "taken";
  } catch (cause) {
    if (!(cause instanceof BundleRefusedError)) throw cause;
    if (pictureOf(to) !== before) faults.push("a refused bundle changes nothing: it does");
    return isDamaged ? "damaged" : isForeign(cause) ? "foreign" : `refused ${cause.message}`;
  }
}

function damage(bytesMutable: Uint8Array, at: number, by: number): void {
  bytesMutable[at] = (bytesMutable[at] ?? 0) ^ by;
}

// Its maker has not been let in by any letter that either of them has.
function isForeign({ faults }: BundleRefusedError): boolean {
  return faults.every(({ code }) => code === "bundle-foreign");
}

function pictureOf({ disk }: SimulatedDevice): string {
  return canonicalJson({
    heads: recordsOnDisk(disk, "heads"),
    aside: recordsOnDisk(disk, "setAside").map(({ digest, reason }) => [digest, reason]),
  });
}
