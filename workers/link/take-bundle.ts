// Taking an opened bundle into this device: as if its entries had come by the network.
//
// [take-bundle 1] Taking the same bundle again changes nothing.
// [take-bundle 2] A run that this device does not know becomes one that it looks on at, or has the role
//   that the record gives it; without a secret of its own for the hub, it hears of the run by bundles only.

import { admitDevices, authorAt } from "../../machines/record/admit-devices.ts";
import { orderEntries } from "../../machines/record/order-entries.ts";
import type { Author } from "../../machines/record/rights.ts";
import type { DeviceId } from "../../machines/record/ids.ts";
import type { Database, StoredRun } from "../store/database.ts";
import { emptyLink } from "../store/database.ts";
import { readRun } from "../store/read-run.ts";
import { storePulled } from "../store/store-pulled.ts";
import type { StoredPull } from "../store/store-pulled.ts";
import { readDevice } from "../store/this-device.ts";
import { writeDurably } from "../store/write-durably.ts";
import { writeInjectScript, writeProcedure } from "../store/write-procedure.ts";
import type { OpenedBundle } from "./open-bundle.ts";

/**
 * Stores what a bundle holds.
 *
 * @param wallMs this device's clock, milliseconds since 1970
 * @returns what came of its entries
 * Errors: those of `writeDurably`, and `KeyFailedError`.
 */
export async function takeBundle(
  database: Database,
  opened: OpenedBundle,
  wallMs: number,
): Promise<StoredPull> {
  const { content, procedure, injectScript, segments } = opened;
  const { run } = content;
  const { device } = await readDevice(database);
  await writeProcedure(database, procedure, wallMs);
  if ((await readRun(database, run)) === undefined) {
    await addRun(database, runOf(opened, authorIn(opened, device), wallMs));
  }
  const stored = await storePulled(database, {
    run,
    from: "device",
    segments,
    forged: [],
    unveiled: [],
    own: device,
    link: (link) => link,
  });
  if (injectScript !== null && authorIn(opened, device).role === "director") {
    await writeInjectScript(database, run, injectScript);
  }
  return stored;
}

function authorIn({ segments }: OpenedBundle, device: DeviceId): Author {
  const { ordered } = orderEntries(segments.flatMap(({ entries }) => entries));
  return authorAt(admitDevices(ordered), device, ordered.length);
}

function runOf({ content }: OpenedBundle, { role, lane }: Author, wallMs: number): StoredRun {
  return {
    run: content.run,
    title: content.title,
    procedure: content.procedureIdentity,
    role: role ?? "observer",
    lane,
    opener: false,
    recoveryDoor: null,
    token: null,
    storedAtMs: wallMs,
  };
}

async function addRun(database: Database, added: StoredRun): Promise<void> {
  await writeDurably(database, [database.runs, database.links], async () => {
    if ((await database.runs.get(added.run)) !== undefined) return;
    await database.runs.add(added);
    await database.links.put(emptyLink(added.run));
  });
}
