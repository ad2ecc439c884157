// The entries of a run that this device holds, as a signal that follows the store.
//
// Reading all of them anew at every tap would take longer with every tap; so the heads tell which are
// new, and only those are read.
// [follow-entries 1] After `refresh` has resolved, the signal holds all that was committed before it
//   was called, by whichever window or worker.
// [follow-entries 2] The signal's value changes only if an entry is new or was replaced.

import { signal } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";
import { liveQuery } from "dexie";
import type { Entry } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { Database, Head } from "../../workers/store/database.ts";
import { entriesAfter, headsOfRun } from "../../workers/store/read-run.ts";

/** The entries of a run, and how to bring them up to date at once. */
export type FollowedEntries = {
  readonly entries: ReadonlySignal<readonly Entry[]>;
  /** Errors: the store's. */
  readonly refresh: () => Promise<void>;
  readonly stop: () => void;
};

/** Follows the entries of a run. Resolves when those that are held have been read. Errors: the store's. */
export async function followEntries(
  database: Database,
  run: RunId,
  onError: (cause: unknown) => void,
): Promise<FollowedEntries> {
  const held = new Map<DeviceId, HeldEntries>();
  const entries = signal<readonly Entry[]>([]);
  let turn: Promise<void> = Promise.resolve();

  async function readNews(): Promise<void> {
    const heads = await headsOfRun(database, run);
    const changes = await Promise.all(heads.map((head) => readDevice(database, head, held)));
    if (!changes.includes(true)) return;
    entries.value = [...held.values()].flatMap((one) => one.entries);
  }

  function refresh(): Promise<void> {
    turn = turn.then(readNews, readNews);
    return turn;
  }

  await refresh();
  const subscription = liveQuery(() => headsOfRun(database, run)).subscribe({
    next: () => {
      refresh().catch(onError);
    },
    error: onError,
  });
  return { entries, refresh, stop: () => subscription.unsubscribe() };
}

type HeldEntries = { readonly replacements: number; readonly entries: readonly Entry[] };

// Returns whether anything is new of one device.
async function readDevice(
  database: Database,
  head: Head,
  heldMutable: Map<DeviceId, HeldEntries>,
): Promise<boolean> {
  const before = heldMutable.get(head.device);
  const same = before !== undefined && before.replacements === head.replacements;
  const known = same ? before.entries : [];
  if (known.length >= head.seq) return false;
  const news = await entriesAfter(database, head, known.length);
  // More may have come since the head was read; they are of its chain, so they count.
  heldMutable.set(head.device, {
    replacements: head.replacements,
    entries: [...known, ...news],
  });
  return news.length > 0;
}
