// A simulation under way: what all its parts work on.

import type { SeededRandom } from "../../machines/base/seeded-random.ts";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { HandClock } from "../unit/workers/hub/hand-clock.ts";
import type { Liar } from "./liar.ts";
import type { Network } from "./network.ts";
import type { Shape } from "./shape.ts";
import type { SimulatedDevice } from "./simulated-device.ts";
import type { SimulatedHub } from "./simulated-hub.ts";

/** How often something was done or befell somebody. */
export type Counts = Record<string, number>;

/** When an entry was written. */
export type Written = {
  /** Hub's clock, milliseconds since 1970. */
  readonly trueMs: number;
  /** What its device's clock showed more than that. */
  readonly skewMs: number;
};

/** A simulation under way. */
export type Simulation = {
  readonly seed: number;
  readonly shape: Shape;
  readonly random: SeededRandom;
  readonly clock: HandClock;
  readonly network: Network;
  readonly hub: SimulatedHub;
  readonly index: ProcedureIndex;
  readonly devices: readonly SimulatedDevice[];
  readonly run: RunId;
  /** What happened, a line each; the digest of a simulation is taken of it. */
  readonly trace: string[];
  readonly counts: Counts;
  /** What must not be, found on the way. */
  readonly faults: string[];
  /** The device that lies; null: it has not come yet. */
  liar: Liar | null;
  /** Names of devices that the desk struck off and has not let in again. */
  readonly struckOff: Set<string>;
  /** Ids of devices that were put back to an older copy of their disk. */
  readonly putBack: Set<DeviceId>;
  /** When entries were written, as nobody in the simulation can know: by "<device>:<seq>:<wall clock>". */
  readonly written: Map<string, Written>;
};

/** Writes a line into the trace, and counts what it is about. */
export function note(simulation: Simulation, what: string, says = ""): void {
  const { trace, counts } = simulation;
  counts[what] = (counts[what] ?? 0) + 1;
  trace.push(`${trace.length} ${what} ${says}`.trimEnd());
}
