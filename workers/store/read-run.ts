// Reading what a device holds of a run.

import { Dexie } from "dexie";
import type { Identity } from "../../machines/procedure/ids.ts";
import type { Procedure } from "../../machines/procedure/procedure.ts";
import type { Entry, EntryBody, EntryKind } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { Database, Head, Link, StoredRun } from "./database.ts";
import { emptyLink } from "./database.ts";

/** Every run on this device, newest first. Errors: Dexie's. */
export async function readRuns(database: Database): Promise<readonly StoredRun[]> {
  const runs = await database.runs.toArray();
  return runs.toSorted((a, b) => b.storedAtMs - a.storedAtMs);
}

/** A run on this device; undefined if it is not here. Errors: Dexie's. */
export async function readRun(database: Database, run: RunId): Promise<StoredRun | undefined> {
  return database.runs.get(run);
}

/** A procedure on this device; undefined if it is not here. Errors: Dexie's. */
export async function readStoredProcedure(
  database: Database,
  identity: Identity,
): Promise<Procedure | undefined> {
  return (await database.procedures.get(identity))?.procedure;
}

/** How a run stands with the hub. Errors: Dexie's. */
export async function readLink(database: Database, run: RunId): Promise<Link> {
  return (await database.links.get(run)) ?? emptyLink(run);
}

/** The head of each device of a run. Errors: Dexie's. */
export async function headsOfRun(database: Database, run: RunId): Promise<Head[]> {
  return database.heads
    .where("[run+device]")
    .between([run, Dexie.minKey], [run, Dexie.maxKey])
    .toArray();
}

/** All entries of a run that this device holds, by device and seq. Errors: Dexie's. */
export async function entriesOfRun(database: Database, run: RunId): Promise<Entry[]> {
  return database.entries
    .where("[run+device+seq]")
    .between([run, Dexie.minKey, Dexie.minKey], [run, Dexie.maxKey, Dexie.maxKey])
    .toArray();
}

/** Entries of a run of one kind. Errors: Dexie's. */
export async function entriesOfKind<Kind extends EntryKind>(
  database: Database,
  run: RunId,
  kind: Kind,
): Promise<EntryOfKind<Kind>[]> {
  const entries = await database.entries.where("[run+body.kind]").equals([run, kind]).toArray();
  return entries as EntryOfKind<Kind>[];
}

/** An entry whose body is of one kind. */
export type EntryOfKind<Kind extends EntryKind> = Entry & {
  readonly body: Extract<EntryBody, { readonly kind: Kind }>;
};

/** Own entries that the hub has not confirmed. Errors: Dexie's. */
export async function unsentOfRun(
  database: Database,
  of: { readonly run: RunId; readonly device: DeviceId },
): Promise<number> {
  const [head, link] = await Promise.all([
    database.heads.get([of.run, of.device]),
    readLink(database, of.run),
  ]);
  return Math.max(0, (head?.seq ?? 0) - link.confirmedSeq);
}

/** Entries of one device with a seq above `afterSeq`, by rising seq, at most `entriesMax`. Errors: Dexie's. */
export async function entriesAfter(
  database: Database,
  of: { readonly run: RunId; readonly device: DeviceId },
  afterSeq: number,
  entriesMax: number = Number.POSITIVE_INFINITY,
): Promise<Entry[]> {
  return database.entries
    .where("[run+device+seq]")
    .between([of.run, of.device, afterSeq + 1], [of.run, of.device, Dexie.maxKey])
    .limit(entriesMax)
    .toArray();
}
