// Storing entries that came from elsewhere: the union of what is held and what came.
//
// [store-pulled 1] Storing the same entries again, in any order and grouping, changes nothing.
// [store-pulled 2] What is held of a device stays without a gap; an entry ahead of a gap waits in
//   `setAside` and is taken when the gap closes.
// [store-pulled 3] A stand-in gives way to the entry it stands for; never the other way round.
// [store-pulled 4] A second entry of one name, and one that does not follow on the entry before it,
//   is set aside with the reason; it is neither taken nor lost.
// [store-pulled 5] The cursor moves in the same transaction as the entries that it stands for.

import { Dexie } from "dexie";
import { assert } from "../../machines/base/assert.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { chainDigest, isStandIn } from "./chain-digest.ts";
import type { Database, EntryKey, Head, Link, SetAside } from "./database.ts";
import { headsOfRun, readLink } from "./read-run.ts";
import { writeDurably } from "./write-durably.ts";

/** Entries of one run that came from elsewhere. */
export type Pulled = {
  readonly run: RunId;
  readonly entries: readonly Entry[];
  /** What is known of the hub from now on. */
  readonly link: (link: Link) => Link;
};

/** What became of them. */
export type StoredPull = {
  readonly added: number;
  readonly replaced: number;
  readonly setAside: number;
};

/**
 * Stores entries that came from elsewhere and what is known of the hub, in one transaction.
 *
 * Errors: those of `writeDurably`; nothing is stored then.
 */
export async function storePulled(database: Database, pulled: Pulled): Promise<StoredPull> {
  const { entries, heads, setAside, links } = database;
  return writeDurably(database, [entries, heads, setAside, links], async () => {
    const union = await openUnion(database, pulled);
    // Without an `await` on the way: Dexie forgets the transaction after a hundred of them in a row
    // that do not come from the database.
    for (const entry of pulled.entries) takeEntry(union, entry);
    await entries.bulkPut([...union.puts.values()]);
    await heads.bulkPut([...union.changedHeads].map((device) => headOf(union, device)));
    await setAside.bulkDelete(union.taken);
    await setAside.bulkPut([...union.aside.values()]);
    await links.put(pulled.link(await readLink(database, pulled.run)));
    return { added: union.added, replaced: union.replaced, setAside: union.asideNew };
  });
}

// The work of one transaction, gathered before it is written.
type Union = {
  /** Entries that were there before, under the names of those that came. */
  readonly held: ReadonlyMap<string, Entry>;
  readonly heads: Map<DeviceId, Head>;
  readonly changedHeads: Set<DeviceId>;
  readonly puts: Map<string, Entry>;
  readonly aside: Map<string, SetAside>;
  readonly taken: [...EntryKey, string][];
  added: number;
  replaced: number;
  asideNew: number;
};

async function openUnion(database: Database, { run, entries }: Pulled): Promise<Union> {
  const heads = new Map((await headsOfRun(database, run)).map((head) => [head.device, head]));
  const met = entries.filter((entry) => entry.seq <= (heads.get(entry.device)?.seq ?? 0));
  const held = await database.entries.bulkGet(
    met.map((entry): EntryKey => [entry.run, entry.device, entry.seq]),
  );
  const aside = await database.setAside
    .where("[run+device+seq+digest]")
    .between(
      [run, Dexie.minKey, Dexie.minKey, Dexie.minKey],
      [run, Dexie.maxKey, Dexie.maxKey, Dexie.maxKey],
    )
    .toArray();
  return {
    held: new Map(held.flatMap((entry) => (entry ? [[entryName(entry), entry] as const] : []))),
    heads,
    changedHeads: new Set(),
    puts: new Map(),
    aside: new Map(aside.map((one) => [asideName(one), one])),
    taken: [],
    added: 0,
    replaced: 0,
    asideNew: 0,
  };
}

function takeEntry(union: Union, entry: Entry): void {
  const head = union.heads.get(entry.device);
  const headSeq = head?.seq ?? 0;
  if (entry.seq <= headSeq) {
    meetHeld(union, entry);
  } else if (entry.seq > headSeq + 1) {
    putAside(union, entry, "gap");
  } else if (entry.prev !== (head?.digest ?? null)) {
    putAside(union, entry, "chain");
  } else {
    followOn(union, entry);
    takeWaiting(union, entry);
  }
}

// An entry whose name is held already.
function meetHeld(union: Union, entry: Entry): void {
  const held = union.puts.get(entryName(entry)) ?? union.held.get(entryName(entry));
  if (held === undefined || chainDigest(held) !== chainDigest(entry)) {
    putAside(union, entry, "fork");
    return;
  }
  if (!isStandIn(held) || isStandIn(entry)) return;
  union.puts.set(entryName(entry), entry);
  const head = headOf(union, entry.device);
  changeHead(union, { ...head, replacements: head.replacements + 1 });
  union.replaced += 1;
}

function followOn(union: Union, entry: Entry): void {
  const head = union.heads.get(entry.device);
  union.puts.set(entryName(entry), entry);
  changeHead(union, {
    run: entry.run,
    device: entry.device,
    seq: entry.seq,
    digest: chainDigest(entry),
    replacements: head?.replacements ?? 0,
    // Matters for this device's own entries only: when the hub has some that were lost here.
    seenTold: { ...head?.seenTold, ...entry.seen },
  });
  union.added += 1;
}

// Takes what waited for the gap to close.
function takeWaiting(union: Union, entry: Entry): void {
  for (const one of Array.from(union.aside.values())) {
    if (one.device !== entry.device || one.seq !== entry.seq + 1 || one.reason !== "gap") continue;
    union.aside.delete(asideName(one));
    union.taken.push([one.run, one.device, one.seq, one.digest]);
    takeEntry(union, one.entry);
  }
}

function putAside(union: Union, entry: Entry, reason: SetAside["reason"]): void {
  const digest = chainDigest(entry);
  const one: SetAside = {
    run: entry.run,
    device: entry.device,
    seq: entry.seq,
    digest,
    reason,
    entry,
  };
  const before = union.aside.get(asideName(one));
  if (before === undefined) union.asideNew += 1;
  // A stand-in that waits gives way to its entry, as a held one does.
  if (before !== undefined && isStandIn(entry)) return;
  union.aside.set(asideName(one), one);
}

function changeHead(union: Union, head: Head): void {
  union.heads.set(head.device, head);
  union.changedHeads.add(head.device);
}

function headOf(union: Union, device: DeviceId): Head {
  const head = union.heads.get(device);
  assert(head !== undefined, "a device of which entries are held has a head");
  return head;
}

function entryName(entry: Entry): string {
  return `${entry.device}:${entry.seq}`;
}

function asideName(one: SetAside): string {
  return `${one.device}:${one.seq}:${one.digest}`;
}
