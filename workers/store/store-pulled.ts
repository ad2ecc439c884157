// Storing entries that came from elsewhere: the union of what is held and what came.
//
// [store-pulled 1] Storing the same entries again, in any order and grouping, changes nothing.
// [store-pulled 2] What is held of a device stays without a gap; an entry ahead of a gap waits in
//   `setAside` and is taken when the gap closes.
// [store-pulled 3] A stand-in gives way to the entry it stands for; never the other way round.
// [store-pulled 4] A second entry of one name, and one that does not follow on the entry before it, is
//   set aside with the reason; it is neither taken nor lost.
// [store-pulled 5] The cursor moves in the same transaction as the entries that it stands for.
// [store-pulled 6] Of two branches of one chain the one that the hub lists stands: what is held of the
//   other from the fork on gives way to it and is set aside.
// [store-pulled 7] Own entries that gave way are written again, in the same transaction, at the end of
//   the own chain: nothing that was shown as taken is lost when a tablet is put back to an older copy.

import { Dexie } from "dexie";
import type { Entry } from "../../machines/record/entry.ts";
import { chainDigest, isStandIn } from "../../machines/record/chain-digest.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { ReadSegment } from "../../machines/sync/segment.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import { appendWithin } from "./append-entry.ts";
import type { Database, Head, Link, SetAside } from "./database.ts";
import { holdsEntry, takeEntry, takeUnveiled } from "./entry-union.ts";
import type { Union } from "./entry-union.ts";
import { headsOfRun, readLink } from "./read-run.ts";
import { writeDurably } from "./write-durably.ts";

/** What came of one run from elsewhere. */
export type Pulled = {
  readonly run: RunId;
  /** From a hub, which says which branch of a fork stands, or from another device. */
  readonly from: "hub" | "device";
  /** Each with a good signature. */
  readonly segments: readonly ReadSegment[];
  /** Entries that took the place of stand-ins. */
  readonly unveiled: readonly Entry[];
  /** Segments whose head their device has not signed. */
  readonly forged: readonly ReadSegment[];
  /** This device; null where it has no entries of its own. */
  readonly own: DeviceId | null;
  /** What is known of the hub from now on. */
  readonly link: (link: Link) => Link;
};

/** What became of them. */
export type StoredPull = {
  readonly added: number;
  readonly replaced: number;
  readonly setAside: number;
  /** Own entries gave way to those that the hub has under their names. */
  readonly gaveWay: boolean;
  /** Something follows on another entry than the one that is held: the branch before it is wanted. */
  readonly isBroken: boolean;
};

/**
 * Stores entries that came from elsewhere and what is known of the hub, in one transaction.
 *
 * Errors: those of `writeDurably`; nothing is stored then.
 */
export async function storePulled(database: Database, pulled: Pulled): Promise<StoredPull> {
  const { entries, heads, signedHeads, setAside, links } = database;
  return writeDurably(database, [entries, heads, signedHeads, setAside, links], async () => {
    const union = await openUnion(database, pulled);
    // Without an `await` on the way: Dexie forgets the transaction after a hundred of them in a row
    // that do not come from the database.
    for (const segment of pulled.segments) takeSegment(union, segment);
    for (const entry of pulled.unveiled) takeUnveiled(union, entry, chainDigest(entry, sha256Hex));
    for (const segment of pulled.forged) putForgedAside(union, segment);
    await entries.bulkDelete(union.deletes);
    await entries.bulkPut([...union.puts.values()]);
    await heads.bulkPut([...union.changedHeads].map((device) => union.heads.get(device) as Head));
    await signedHeads.bulkDelete(union.deletes);
    const held = pulled.segments.map(({ head }) => head).filter((head) => holdsEntry(union, head));
    await signedHeads.bulkPut(held);
    await setAside.bulkDelete(union.taken);
    await setAside.bulkPut([...union.aside.values()]);
    const again = await writeAgain(database, pulled, union);
    const link = pulled.link(await readLink(database, pulled.run));
    await links.put({ ...link, writtenAgain: link.writtenAgain + again });
    const gaveWay = union.gaveWay.some(({ device }) => device === pulled.own);
    const { added, replaced, asideNew, isBroken } = union;
    return { added, replaced, setAside: asideNew, gaveWay, isBroken };
  });
}

async function openUnion(database: Database, pulled: Pulled): Promise<Union> {
  const { run, from, segments, unveiled } = pulled;
  const heads = new Map((await headsOfRun(database, run)).map((head) => [head.device, head]));
  const firstMet = new Map<DeviceId, number>();
  const meet = (device: DeviceId, seq: number): void => {
    if (seq > (heads.get(device)?.seq ?? 0)) return;
    firstMet.set(device, Math.min(seq, firstMet.get(device) ?? seq));
  };
  for (const { head, fromSeq } of segments) meet(head.device, fromSeq);
  for (const { device, seq } of unveiled) meet(device, seq);
  const held = new Map<string, Entry>();
  for (const [device, seq] of firstMet) {
    const keys = [
      [run, device, seq],
      [run, device, Dexie.maxKey],
    ] as const;
    const met = await database.entries
      .where("[run+device+seq]")
      .between(...keys)
      .toArray();
    for (const entry of met) held.set(`${device}:${entry.seq}`, entry);
  }
  const aside = await asideOfRun(database, run);
  return {
    run,
    isFromHub: from === "hub",
    held,
    heads,
    changedHeads: new Set(),
    puts: new Map(),
    deletes: [],
    aside: new Map(aside.map((one) => [`${one.device}:${one.seq}:${one.digest}`, one])),
    taken: [],
    gaveWay: [],
    added: 0,
    replaced: 0,
    asideNew: 0,
    isBroken: false,
  };
}

/** What is set aside of a run on this device, by device and seq. Errors: Dexie's. */
export async function asideOfRun(database: Database, run: RunId): Promise<SetAside[]> {
  return database.setAside
    .where("[run+device+seq+digest]")
    .between(
      [run, Dexie.minKey, Dexie.minKey, Dexie.minKey],
      [run, Dexie.maxKey, Dexie.maxKey, Dexie.maxKey],
    )
    .toArray();
}

function takeSegment(union: Union, { entries, digests }: ReadSegment): void {
  for (const [index, entry] of entries.entries()) {
    takeEntry(union, entry, digests[index] as string);
  }
}

function putForgedAside(union: Union, { entries, digests }: ReadSegment): void {
  for (const [index, entry] of entries.entries()) {
    const digest = digests[index] as string;
    const name = `${entry.device}:${entry.seq}:${digest}`;
    if (union.aside.has(name)) continue;
    const { device, seq } = entry;
    union.aside.set(name, { run: union.run, device, seq, digest, reason: "signature", entry });
    union.asideNew += 1;
  }
}

// Entries that tell of the device itself are not written again; the device tells of itself anew.
const kindsOfItself: ReadonlySet<string> = new Set(["clock.sampled", "clock.jumped", "run.opened"]);

async function writeAgain(database: Database, pulled: Pulled, union: Union): Promise<number> {
  const own = union.gaveWay.filter(({ device }) => device === pulled.own);
  let written = 0;
  for (const { entry } of own.toSorted((a, b) => a.seq - b.seq)) {
    if (isStandIn(entry) || kindsOfItself.has(entry.body.kind)) continue;
    const { run, device, position, body, wallMs } = entry;
    await appendWithin(database, { run, device, position, body, wallMs });
    written += 1;
  }
  await database.setAside.bulkPut(own.map((one) => ({ ...one, reason: "written-again" })));
  return written;
}
