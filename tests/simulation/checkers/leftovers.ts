// What a simulation leaves, for the checkers to look at.

import type { ProcedureIndex } from "../../../machines/procedure/procedure-index.ts";
import type { Entry } from "../../../machines/record/entry.ts";
import type { DeviceId } from "../../../machines/record/ids.ts";
import type { Head, SetAside } from "../../../workers/store/database.ts";
import { entriesOfRun, headsOfRun } from "../../../workers/store/read-run.ts";
import type { Person } from "../simulated-device.ts";
import { entriesAtHub } from "../at-hub.ts";
import { createTexts } from "./texts.ts";
import type { Simulation, Written } from "../simulation.ts";
import type { SetAsideSegment } from "../../../workers/hub/storage/record-storage.ts";

/** What one device holds. */
export type DeviceLeft = Person & {
  readonly id: DeviceId;
  readonly entries: readonly Entry[];
  readonly heads: readonly Head[];
  readonly setAside: readonly SetAside[];
  /** What its person was told was taken. */
  readonly acknowledged: readonly Entry[];
  /** It was struck off in the end, and so hears nothing any more. */
  readonly isOut: boolean;
  readonly wasPutBack: boolean;
};

/** What is left of everything. */
export type Leftovers = {
  readonly seed: number;
  readonly index: ProcedureIndex;
  readonly devices: readonly DeviceLeft[];
  /** Everything that the hub lists, repeats among it. */
  readonly atHub: readonly Entry[];
  readonly setAsideAtHub: readonly SetAsideSegment[];
  /** The device that lied; null: there was none. */
  readonly liar: DeviceId | null;
  /** When entries were written: by "<device>:<seq>:<wall clock>". */
  readonly written: ReadonlyMap<string, Written>;
  /** Clocks were never set. */
  readonly areClocksLeftAlone: boolean;
  /** Canonical text of an entry. */
  readonly textOf: (entry: Entry) => string;
};

/** Reads what is left. */
export async function readLeftovers(simulation: Simulation): Promise<Leftovers> {
  const { seed, shape, index, devices, hub, run, struckOff, putBack, liar } = simulation;
  const left: DeviceLeft[] = [];
  for (const { name, role, lane, id, database, acknowledged } of devices) {
    left.push({
      name,
      role,
      lane,
      id,
      acknowledged,
      isOut: struckOff.has(name),
      wasPutBack: putBack.has(id),
      entries: await entriesOfRun(database, run),
      heads: await headsOfRun(database, run),
      setAside: await database.setAside.toArray(),
    });
  }
  const atHub = await entriesAtHub(simulation);
  const setAsideAtHub = await hub.storage().readSetAside(run);
  return {
    seed,
    index,
    devices: left,
    atHub,
    setAsideAtHub,
    liar: liar?.key.device ?? null,
    written: simulation.written,
    areClocksLeftAlone: !shape.troubles.has("clock-set"),
    textOf: createTexts(),
  };
}
