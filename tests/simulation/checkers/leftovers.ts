// What a simulation leaves, for the checkers to look at.

import { readSegment } from "../../../machines/sync/segment.ts";
import { sha256Hex } from "../../../workers/keys/sha-256.ts";
import type { ProcedureIndex } from "../../../machines/procedure/procedure-index.ts";
import type { Entry } from "../../../machines/record/entry.ts";
import type { DeviceId } from "../../../machines/record/ids.ts";
import type { Head, SetAside } from "../../../workers/store/database.ts";
import { entriesOfRun, headsOfRun } from "../../../workers/store/read-run.ts";
import type { Person } from "../simulated-device.ts";
import { createTexts } from "./texts.ts";
import type { Simulation } from "../simulation.ts";

/** What one device holds. */
export type DeviceLeft = Person & {
  readonly id: DeviceId;
  readonly entries: readonly Entry[];
  readonly heads: readonly Head[];
  readonly setAside: readonly SetAside[];
  /** What its person was told was taken. */
  readonly acknowledged: readonly Entry[];
};

/** What is left of everything. */
export type Leftovers = {
  readonly seed: number;
  readonly index: ProcedureIndex;
  readonly devices: readonly DeviceLeft[];
  /** Everything that the hub lists, repeats among it. */
  readonly atHub: readonly Entry[];
  readonly setAsideAtHub: number;
  /** Canonical text of an entry. */
  readonly textOf: (entry: Entry) => string;
};

/** Reads what is left. */
export async function readLeftovers(simulation: Simulation): Promise<Leftovers> {
  const { seed, index, devices, hub, run } = simulation;
  const left: DeviceLeft[] = [];
  for (const { name, role, lane, id, database, acknowledged } of devices) {
    left.push({
      name,
      role,
      lane,
      id,
      acknowledged,
      entries: await entriesOfRun(database, run),
      heads: await headsOfRun(database, run),
      setAside: await database.setAside.toArray(),
    });
  }
  const { listed } = await hub.storage().readListed(run, 0, 1_000_000);
  const segments = listed.flatMap((one) => (one.what === "segment" ? [one.text] : []));
  const atHub = segments.flatMap(
    (text) => readSegment(JSON.parse(text), "", sha256Hex).segment?.entries ?? [],
  );
  const setAsideAtHub = (await hub.storage().readSetAside(run)).length;
  return {
    seed,
    index,
    devices: left,
    atHub,
    setAsideAtHub,
    textOf: createTexts(),
  };
}
