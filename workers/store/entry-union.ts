// The union of a device's held entries with entries that came from elsewhere, gathered in memory before
// it is written. It keeps [store-pulled 1] to [store-pulled 6] of `store-pulled.ts`.

import { assert } from "../../machines/base/assert.ts";
import { chainDigest, isStandIn } from "../../machines/record/chain-digest.ts";
import type { Entry } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import type { EntryKey, Head, SetAside } from "./database.ts";

/** The work of one transaction. */
export type Union = {
  readonly run: RunId;
  readonly isFromHub: boolean;
  /** Entries that were there before, by "<device>:<seq>": of each device from the first that came on. */
  readonly held: Map<string, Entry>;
  readonly heads: Map<DeviceId, Head>;
  readonly changedHeads: Set<DeviceId>;
  /** Entries to be written, by name. */
  readonly puts: Map<string, Entry>;
  readonly deletes: EntryKey[];
  /** Everything set aside, by "<device>:<seq>:<digest>". */
  readonly aside: Map<string, SetAside>;
  /** Keys of what is no longer set aside. */
  readonly taken: [...EntryKey, string][];
  /** Entries that gave way to the branch that the hub lists. */
  readonly gaveWay: SetAside[];
  added: number;
  replaced: number;
  asideNew: number;
  isBroken: boolean;
};

/** Takes one entry into the union, or sets it aside. */
export function takeEntry(unionMutable: Union, entry: Entry, digest: string): void {
  const head = unionMutable.heads.get(entry.device);
  const headSeq = head?.seq ?? 0;
  if (entry.seq <= headSeq) {
    meetHeld(unionMutable, entry, digest);
  } else if (entry.seq > headSeq + 1) {
    putAside(unionMutable, { entry, digest, reason: "gap" });
  } else if (entry.prev !== (headSeq === 0 ? null : head?.digest)) {
    unionMutable.isBroken = true;
    putAside(unionMutable, { entry, digest, reason: "chain" });
  } else {
    followOn(unionMutable, entry, digest);
    takeWaiting(unionMutable, entry);
  }
}

/** Puts an entry in the place of the stand-in that is held for it; anything else changes nothing. */
export function takeUnveiled(unionMutable: Union, entry: Entry, digest: string): void {
  const held = heldOf(unionMutable, entry);
  if (held !== undefined && chainDigest(held, sha256Hex) === digest) {
    replaceStandIn(unionMutable, held, entry);
  }
}

// An entry whose name is held already.
function meetHeld(unionMutable: Union, entry: Entry, digest: string): void {
  const held = heldOf(unionMutable, entry);
  assert(held !== undefined, "an entry at or below the head is held");
  if (chainDigest(held, sha256Hex) === digest) {
    replaceStandIn(unionMutable, held, entry);
  } else if (unionMutable.isFromHub) {
    giveWay(unionMutable, held);
    takeEntry(unionMutable, entry, digest);
  } else {
    putAside(unionMutable, { entry, digest, reason: "fork" });
  }
}

function replaceStandIn(unionMutable: Union, held: Entry, entry: Entry): void {
  if (!isStandIn(held) || isStandIn(entry)) return;
  unionMutable.puts.set(entryName(entry), entry);
  const head = unionMutable.heads.get(entry.device);
  assert(head !== undefined, "a device of which entries are held has a head");
  changeHead(unionMutable, { ...head, replacements: head.replacements + 1 });
  unionMutable.replaced += 1;
}

// Sets aside what is held of a device from an entry on.
function giveWay(unionMutable: Union, first: Entry): void {
  const { device, run } = first;
  const head = unionMutable.heads.get(device);
  assert(head !== undefined, "a device of which entries are held has a head");
  for (let { seq } = first; seq <= head.seq; seq += 1) {
    const name = `${device}:${seq}`;
    const entry = unionMutable.puts.get(name) ?? unionMutable.held.get(name);
    assert(entry !== undefined, "what is held after an entry that came is at hand");
    const digest = chainDigest(entry, sha256Hex);
    const one: SetAside = { run, device, seq, digest, reason: "fork", entry };
    putAside(unionMutable, one);
    unionMutable.gaveWay.push(one);
    unionMutable.puts.delete(name);
    unionMutable.held.delete(name);
    unionMutable.deletes.push([run, device, seq]);
  }
  // So that whoever follows the heads reads the device anew.
  const replacements = head.replacements + 1;
  const kept = { seq: first.seq - 1, digest: first.prev ?? "", seenTold: {} };
  changeHead(unionMutable, { ...head, ...kept, replacements });
}

function followOn(unionMutable: Union, entry: Entry, digest: string): void {
  const head = unionMutable.heads.get(entry.device);
  unionMutable.puts.set(entryName(entry), entry);
  changeHead(unionMutable, {
    run: entry.run,
    device: entry.device,
    seq: entry.seq,
    digest,
    replacements: head?.replacements ?? 0,
    // Matters for this device's own entries only: when the hub has some that were lost here.
    seenTold: { ...head?.seenTold, ...entry.seen },
  });
  unionMutable.added += 1;
  takeFromAside(unionMutable, { ...entry, digest });
}

// Takes what waited for the gap to close.
function takeWaiting(unionMutable: Union, entry: Entry): void {
  for (const one of Array.from(unionMutable.aside.values())) {
    if (one.device !== entry.device || one.seq !== entry.seq + 1 || one.reason !== "gap") continue;
    takeFromAside(unionMutable, one);
    takeEntry(unionMutable, one.entry, one.digest);
  }
}

type Named = Pick<SetAside, "run" | "device" | "seq" | "digest">;

function takeFromAside(unionMutable: Union, { run, device, seq, digest }: Named): void {
  if (unionMutable.aside.delete(`${device}:${seq}:${digest}`)) {
    unionMutable.taken.push([run, device, seq, digest]);
  }
}

function putAside(
  unionMutable: Union,
  { entry, digest, reason }: Pick<SetAside, "entry" | "digest" | "reason">,
): void {
  const { run, device, seq } = entry;
  const name = `${device}:${seq}:${digest}`;
  const before = unionMutable.aside.get(name);
  if (before === undefined) unionMutable.asideNew += 1;
  // A stand-in that waits gives way to its entry, as a held one does.
  if (before !== undefined && isStandIn(entry)) return;
  unionMutable.aside.set(name, { run, device, seq, digest, reason, entry });
}

function changeHead(unionMutable: Union, head: Head): void {
  unionMutable.heads.set(head.device, head);
  unionMutable.changedHeads.add(head.device);
}

/** Whether the union holds just this entry under its name. */
export function holdsEntry(union: Union, { device, seq, digest }: Omit<Named, "run">): boolean {
  const name = `${device}:${seq}`;
  const entry = union.puts.get(name) ?? union.held.get(name);
  return entry !== undefined && chainDigest(entry, sha256Hex) === digest;
}

function heldOf(unionMutable: Union, entry: Entry): Entry | undefined {
  const name = entryName(entry);
  return unionMutable.puts.get(name) ?? unionMutable.held.get(name);
}

function entryName(entry: Entry): string {
  return `${entry.device}:${entry.seq}`;
}
