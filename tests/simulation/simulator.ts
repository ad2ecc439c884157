// Plays one schedule of faults and taps over devices and a hub, all from one seed, and checks what
// it left.
//
// Definition: an *activity* is what a device does over the network: a round of its sync.
// At any moment exactly one device, or the hub, is doing something; every other one waits for the
// network. So the order of events is the schedule's alone, however fast the machine is, and the same
// seed gives the same trace.

import { createSeededRandom } from "../../machines/base/seeded-random.ts";
import type { SeededRandom } from "../../machines/base/seeded-random.ts";
import type { PositionId } from "../../machines/procedure/ids.ts";
import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
import { entryText } from "../../machines/record/digest-entry.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import { openRun } from "../../workers/store/open-run.ts";
import { entriesOfRun } from "../../workers/store/read-run.ts";
import { writeProcedure } from "../../workers/store/write-procedure.ts";
import { aProcedure } from "../support/a-procedure.ts";
import { handClock } from "../unit/workers/hub/hand-clock.ts";
import { pickWeighted, withSeededBytes } from "./chance.ts";
import { readLeftovers } from "./checkers/leftovers.ts";
import { checkAll } from "./checkers/check-all.ts";
import { heal } from "./healing.ts";
import { createNetwork } from "./network.ts";
import type { Counts, Simulation } from "./simulation.ts";
import { actsNow } from "./acts.ts";
import { createDevice, nameSimulatedDevice } from "./simulated-device.ts";
import type { Person, SimulatedDevice } from "./simulated-device.ts";
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

/** How many things happen in a schedule before everything is healed, unless told otherwise. */
export const stepsUsual = 200;

/**
 * Plays the schedule of a seed.
 *
 * Errors: our own mistakes, in the product or here.
 */
export async function simulate(seed: number, steps = stepsUsual): Promise<Report> {
  // Three sources, so that what one draws changes nothing in what another does.
  const random = createSeededRandom(seed);
  const bytes = createSeededRandom(BigInt(seed) + (1n << 32n));
  return withSeededBytes(bytes, async () => {
    const simulation = await begin(seed, random);
    try {
      for (let step = 0; step < steps; step += 1) {
        simulation.clock.pass(random.nextBelow(12_000));
        await pickWeighted(random, actsNow(simulation))();
      }
      return await end(simulation);
    } finally {
      for (const { database } of simulation.devices) database.close();
      await simulation.hub.end();
    }
  });
}

const ev1 = "ev1" as PositionId;
const ev2 = "ev2" as PositionId;
const iv = "iv" as PositionId;

const people: readonly Person[] = [
  { name: "desk", role: "director", lane: null },
  { name: "second-desk", role: "director", lane: null },
  { name: "ev1-tablet", role: "crew", lane: ev1 },
  { name: "ev2-tablet", role: "crew", lane: ev2 },
  { name: "reader", role: "reader", lane: iv },
  { name: "wall", role: "observer", lane: null },
];

async function begin(seed: number, random: SeededRandom): Promise<Simulation> {
  const clock = handClock();
  const network = createNetwork();
  const hub = await createSimulatedHub(seed % 4 === 0 ? "sqlite" : "memory", clock, random);
  const devices: SimulatedDevice[] = [];
  for (const [number, person] of people.entries()) {
    const ownRandom = createSeededRandom(BigInt(seed) + (BigInt(number + 2) << 32n));
    const device = createDevice({ clock, network, random }, person, ownRandom);
    // Up to four hours wrong, either way.
    device.skewMs = random.nextBelow(8 * 3_600_000) - 4 * 3_600_000;
    await nameSimulatedDevice(device);
    devices.push(device);
  }
  const procedure = aProcedure();
  const desk = devices[0] as SimulatedDevice;
  const { database } = desk;
  const wallMs = desk.readWallMs();
  const self = { key: "self", device: desk.id, name: desk.name } as const;
  const identity = await writeProcedure(database, procedure, wallMs);
  const opening = { procedure: identity, title: "Monday", device: self, wallMs };
  const { run } = await openRun(database, opening);
  desk.hasRun = true;
  desk.acknowledged.push(...(await entriesOfRun(database, run)));
  return {
    seed,
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
