// Plays one schedule of faults and taps over devices and a hub, all from one seed, and checks what
// it left.
//
// Definition: an *activity* is what a device does over the network: a round of its sync.
// At any moment exactly one device, or the hub, is doing something; every other one waits for the
// network. So the order of events is the schedule's alone, however fast the machine is, and the same
// seed gives the same trace.

import { createSeededRandom } from "../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../machines/base/seeded-random.ts";
import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
import { entryText } from "../../machines/record/digest-entry.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import { openRun } from "../../workers/store/open-run.ts";
import { entriesOfRun } from "../../workers/store/read-run.ts";
import { readDevice } from "../../workers/store/this-device.ts";
import { writeProcedure } from "../../workers/store/write-procedure.ts";
import { fixedKey } from "../support/fixed-keys.ts";
import { aProcedure } from "../support/a-procedure.ts";
import { noteWritten } from "./written.ts";
import { handClock } from "../unit/workers/hub/hand-clock.ts";
import { pickWeighted } from "./chance.ts";
import { readLeftovers } from "./checkers/leftovers.ts";
import { checkAll } from "./checkers/check-all.ts";
import { heal } from "./healing.ts";
import { createNetwork } from "./network.ts";
import { onSimulatedPlatform } from "./platform.ts";
import type { Counts, Simulation } from "./simulation.ts";
import { actsNow } from "./acts.ts";
import { shapeOf } from "./shape.ts";
import type { Shape } from "./shape.ts";
import { createDevice, nameSimulatedDevice } from "./simulated-device.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import { createSimulatedHub } from "./simulated-hub.ts";

/** What a schedule came to. */
export type Report = {
  readonly seed: number;
  readonly trace: readonly string[];
  /** SHA-256 of the trace and of every entry of the record. */
  readonly digest: string;
  readonly counts: Counts;
  /** What must not be; each says the rule that it breaks. */
  readonly faults: readonly string[];
};

/**
 * Plays the schedule of a seed.
 *
 * @param steps so many things happen before everything is healed; undefined: as many as the seed says
 * Errors: our own mistakes, in the product or here.
 */
export async function simulate(seed: number, steps?: number): Promise<Report> {
  const shape = shapeOf(seed, steps);
  // Three sources, so that what one draws changes nothing in what another does.
  const random = createSeededRandom(seed);
  const bytes = createSeededRandom(BigInt(seed) + (1n << 32n));
  return onSimulatedPlatform(bytes, async () => {
    const simulation = await begin(seed, shape, random);
    noteWritten(simulation);
    try {
      for (let step = 0; step < shape.steps; step += 1) {
        simulation.clock.pass(random.nextBelow(12_000));
        await pickWeighted(random, actsNow(simulation))();
        noteWritten(simulation);
      }
      return await end(simulation);
    } finally {
      for (const { database } of simulation.devices) database.close();
      await simulation.hub.end();
    }
  });
}

async function begin(seed: number, shape: Shape, random: SeededRandom): Promise<Simulation> {
  const clock = handClock();
  const network = createNetwork();
  const hub = await createSimulatedHub(
    {
      storage: shape.storage,
      servers: shape.troubles.has("second-hub") ? 2 : 1,
      pageEntries: shape.troubles.has("small-pages") ? 4 : null,
    },
    clock,
    random,
  );
  const devices: SimulatedDevice[] = [];
  for (const [number, person] of shape.people.entries()) {
    const ownRandom = createSeededRandom(BigInt(seed) + (BigInt(number + 16) << 32n));
    const own = { key: await fixedKey(number), random: ownRandom };
    const device = createDevice({ clock, network }, person, own);
    // Up to four hours wrong, either way.
    device.skewMs = random.nextBelow(8 * 3_600_000) - 4 * 3_600_000;
    await nameSimulatedDevice(device);
    devices.push(device);
  }
  const procedure = aProcedure();
  const desk = devices[0] as SimulatedDevice;
  const { database } = desk;
  const wallMs = desk.readWallMs();
  const self = await readDevice(database);
  const identity = await writeProcedure(database, procedure, wallMs);
  const opening = { procedure: identity, title: "Monday", device: self, recovery: null, wallMs };
  const { run } = await openRun(database, opening);
  desk.hasRun = true;
  desk.acknowledged.push(...(await entriesOfRun(database, run)));
  return {
    seed,
    shape,
    random,
    clock,
    network,
    hub,
    devices,
    run,
    index: indexProcedure(procedure),
    trace: [],
    counts: {},
    faults: [],
    liar: null,
    struckOff: new Set(),
    putBack: new Set(),
    written: new Map(),
  };
}

async function end(simulation: Simulation): Promise<Report> {
  const { seed, trace, counts, faults } = simulation;
  await heal(simulation);
  const leftovers = await readLeftovers(simulation);
  faults.push(...checkAll(leftovers));
  const [first] = leftovers.devices;
  const record = (first?.entries ?? []).map(entryText);
  counts["entry"] = record.length;
  const digest = sha256Hex([...trace, ...record].join("\n"));
  return { seed, trace, digest, counts, faults };
}
