// Putting one entry of this device into a run's record: one tap, one transaction.
//
// [append-entry 1] Entry and head are stored together or not at all.
// [append-entry 2] Two writers, in two windows or in a window and the service worker, never give one
//   seq twice: head and entry are read and written inside the same transaction.
// [append-entry 3] `seen` tells of each other device whose held entries have grown since this device's
//   entry before.
// [append-entry 4] When the promise resolves, the entry is on the disk.

import { assert } from "../../machines/base/assert.ts";
import type { PositionId } from "../../machines/procedure/ids.ts";
import { entryDigest } from "../../machines/record/digest-entry.ts";
import type { Entry, EntryBody } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import type { Database, Head } from "./database.ts";
import { headsOfRun } from "./read-run.ts";
import { writeDurably } from "./write-durably.ts";

/** What is to be put into the record, by whom and when. */
export type Tap = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly position: PositionId | null;
  readonly body: EntryBody;
  /** This device's clock, milliseconds since 1970. */
  readonly wallMs: number;
};

/**
 * Stores one entry of this device.
 *
 * @returns the entry as it was stored
 * Errors: those of `writeDurably`.
 */
export async function appendEntry(database: Database, tap: Tap): Promise<Entry> {
  let built: Entry | null = null;
  return writeDurably(database, [database.entries, database.heads], async () => {
    if (built !== null && (await isStored(database, built))) return built;
    built = await appendWithin(database, tap);
    return built;
  });
}

/**
 * As `appendEntry`, inside a transaction over `entries` and `heads` that is already under way.
 *
 * Errors: those of the database, which abort the transaction.
 */
export async function appendWithin(database: Database, tap: Tap): Promise<Entry> {
  const heads = await headsOfRun(database, tap.run);
  const own = heads.find((head) => head.device === tap.device);
  const entry = buildEntry(tap, own, heads);
  const digest = entryDigest(entry, sha256Hex);
  // The database takes requests in order, so that the last reads what the first has written; waiting
  // for each would keep the tap waiting three times.
  const [, , stored] = await Promise.all([
    database.entries.add(entry),
    database.heads.put({
      run: tap.run,
      device: tap.device,
      seq: entry.seq,
      digest,
      replacements: own?.replacements ?? 0,
      seenTold: { ...own?.seenTold, ...entry.seen },
    }),
    database.entries.get([entry.run, entry.device, entry.seq]),
  ]);
  assert(stored !== undefined, "an entry that was added is there");
  assert(entryDigest(stored, sha256Hex) === digest, "an entry that was added reads back the same");
  return entry;
}

function buildEntry(tap: Tap, own: Head | undefined, heads: readonly Head[]): Entry {
  const told = own?.seenTold ?? {};
  const news = heads.filter(
    (head) => head.device !== tap.device && head.seq > (told[head.device] ?? 0),
  );
  return {
    run: tap.run,
    device: tap.device,
    seq: (own?.seq ?? 0) + 1,
    prev: own?.digest ?? null,
    wallMs: Math.round(tap.wallMs),
    seen: Object.fromEntries(news.map((head) => [head.device, head.seq])),
    position: tap.position,
    body: tap.body,
  };
}

async function isStored(database: Database, built: Entry): Promise<boolean> {
  const stored = await database.entries.get([built.run, built.device, built.seq]);
  return stored !== undefined && entryDigest(stored, sha256Hex) === entryDigest(built, sha256Hex);
}
