// Taking an opened bundle into this device: as if its entries had come by the network.
//
// [take-bundle 1] Taking the same bundle again changes nothing.
// [take-bundle 2] A run that this device does not know becomes one that it looks on at, or has the role
//   that the record gives it; without a secret of its own for the hub, it hears of the run by bundles only.
// [take-bundle 3] Where a run is heard of by bundles only, what the record says of this device's role is so
//   from the bundle on that tells it.

import { admitDevices, authorAt } from "../../machines/record/admit-devices.ts";
import { orderEntries } from "../../machines/record/order-entries.ts";
import type { Author } from "../../machines/record/rights.ts";
import type { DeviceId } from "../../machines/record/ids.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { Database, StoredRun } from "../store/database.ts";
import { emptyLink } from "../store/database.ts";
import { entriesOfRun } from "../store/read-run.ts";
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
  const held = await entriesOfRun(database, run);
  const author = authorIn([...held, ...segments.flatMap(({ entries }) => entries)], device);
  await keepRun(database, runOf(opened, author, wallMs));
  const stored = await storePulled(database, {
    run,
    from: "device",
    segments,
    forged: [],
    unveiled: [],
    own: device,
    link: (link) => link,
  });
  if (injectScript !== null && author.role === "director") {
    await writeInjectScript(database, run, injectScript);
  }
  return stored;
}

function authorIn(entries: readonly Entry[], device: DeviceId): Author {
  const { ordered } = orderEntries(entries);
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

// Adds the run, or gives one that came by a bundle before its present role. One that this device opened or
// joined stays as it is.
async function keepRun(database: Database, found: StoredRun): Promise<void> {
  await writeDurably(database, [database.runs, database.links], async () => {
    const stored = await database.runs.get(found.run);
    if (stored === undefined) {
      await database.runs.add(found);
      await database.links.put(emptyLink(found.run));
    } else if (stored.token === null) {
      const { role, lane } = found;
      await database.runs.put({ ...stored, role, lane });
    }
  });
}
