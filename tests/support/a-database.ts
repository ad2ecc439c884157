// A fresh database for a test, on an IndexedDB that lives in memory.

import { Dexie } from "dexie";
import * as fakeIndexedDb from "fake-indexeddb";
import { afterEach } from "vitest";
import type { Identity, PositionId } from "../../machines/procedure/ids.ts";
import { entryDigest } from "../../machines/record/digest-entry.ts";
import type { Entry, EntryBody } from "../../machines/record/entry.ts";
import { chainDigest } from "../../machines/record/chain-digest.ts";
import type { DeviceId, PublicKeyText, RunId } from "../../machines/record/ids.ts";
import type { ReadSegment } from "../../machines/sync/segment.ts";
import { sha256Hex } from "../../workers/keys/sha-256.ts";
import { createDatabase } from "../../workers/store/database.ts";
import type { Database } from "../../workers/store/database.ts";
import type { Pulled } from "../../workers/store/store-pulled.ts";

Object.assign(globalThis, fakeIndexedDb);
// Dexie looks for IndexedDB when it is loaded, which may have been before.
Object.assign(Dexie.dependencies, { indexedDB, IDBKeyRange });

const open: Database[] = [];
let databasesMade = 0;

afterEach(async () => {
  for (const database of open.splice(0)) await database.delete();
});

/** A new, empty database, deleted after the test. */
export function aDatabase(): Database {
  databasesMade += 1;
  const database = createDatabase(`test-${databasesMade}`);
  open.push(database);
  return database;
}

/** A second connection to the same database: another window. */
export function anotherWindow(database: Database): Database {
  const other = createDatabase(database.name);
  open.unshift(other);
  return other;
}

/** Names for tests. */
export const theRun = "run-1" as RunId;
export const otherRun = "run-2" as RunId;
export const me = "device-me" as DeviceId;
export const other = "device-other" as DeviceId;
export const third = "device-third" as DeviceId;
export const anIdentity = "0".repeat(64) as Identity;
export const ev1 = "ev1" as PositionId;

/** A note. */
export function note(text: string): EntryBody {
  return { kind: "note.added", text, step: null, oddity: false };
}

/** A chain of entries of one device, well linked; each element says one entry's text. */
export function aChain(device: DeviceId, texts: readonly string[], run: RunId = theRun): Entry[] {
  const entries: Entry[] = [];
  for (const [index, text] of texts.entries()) {
    const before = entries[index - 1];
    entries.push({
      run,
      device,
      seq: index + 1,
      prev: before === undefined ? null : entryDigest(before, sha256Hex),
      wallMs: 1_000 + index,
      seen: {},
      position: null,
      body: note(text),
    });
  }
  return entries;
}

/** What a device is given to store: every entry a segment of its own, whose signature was good. */
export function pulledOf(entries: readonly Entry[], but: Partial<Pulled> = {}): Pulled {
  const segments = entries.map((entry) => aReadSegment([entry]));
  return {
    run: theRun,
    from: "device",
    segments,
    forged: [],
    unveiled: [],
    own: me,
    link: (link) => link,
    ...but,
  };
}

/** A segment as it was read; its signature is not looked at any more. */
export function aReadSegment(entries: readonly Entry[]): ReadSegment {
  const digests = entries.map((entry) => chainDigest(entry, sha256Hex));
  const first = entries[0] as Entry;
  const { run, device, seq } = entries.at(-1) as Entry;
  const key = "B".repeat(87) as PublicKeyText;
  const digest = digests.at(-1) as string;
  const head = { run, device, seq, digest, key, signature: "A".repeat(86) };
  return { head, fromSeq: first.seq, prev: first.prev, entries, digests };
}

/** What stands for an entry on a device that may not read it. */
export function standIn(entry: Entry): Entry {
  return { ...entry, body: { kind: "entry.withheld", digest: entryDigest(entry, sha256Hex) } };
}
