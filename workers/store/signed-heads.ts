// The signed heads that a device holds: with them it can hand on what others have written.

import { Dexie } from "dexie";
import { isStandIn } from "../../machines/record/chain-digest.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { createSegment } from "../../machines/sync/segment.ts";
import type { Segment } from "../../machines/sync/segment.ts";
import type { SignedHead } from "../../machines/sync/signed-head.ts";
import type { Database } from "./database.ts";
import { entriesAfter } from "./read-run.ts";

/** Which chain of which run. */
export type ChainOf = { readonly run: RunId; readonly device: DeviceId };

/** The signed heads of a chain above a seq, by rising seq. Errors: Dexie's. */
export async function signedHeadsAfter(
  database: Database,
  { run, device }: ChainOf,
  afterSeq: number,
): Promise<readonly SignedHead[]> {
  return database.signedHeads
    .where("[run+device+seq]")
    .between([run, device, afterSeq + 1], [run, device, Dexie.maxKey])
    .toArray();
}

/**
 * A segment of a chain above a seq, as this device can hand it on: up to the farthest head that its device
 * signed within so many entries.
 *
 * @returns undefined where a stand-in is among them, or no signed head is near enough
 * Errors: Dexie's.
 */
export async function segmentAfter(
  database: Database,
  of: ChainOf,
  afterSeq: number,
  entriesMax: number,
): Promise<Segment | undefined> {
  const heads = await signedHeadsAfter(database, of, afterSeq);
  const head = heads.findLast(({ seq }) => seq - afterSeq <= entriesMax);
  if (head === undefined) return undefined;
  const entries = await entriesAfter(database, of, afterSeq, head.seq - afterSeq);
  const isWhole = entries.at(-1)?.seq === head.seq && !entries.some(isStandIn);
  return isWhole ? createSegment(entries, head) : undefined;
}
