// The entries of a run that this device holds, as a signal that follows the store.
//
// Reading all of them anew at every tap would take longer with every tap; so the heads tell which are
// new, and only those are read.
// [follow-entries 1] After `refresh` has resolved, the signal holds all that was committed before it
//   was called, by whichever window or worker.
// [follow-entries 2] The signal's value changes only if an entry is new or was replaced.
// [follow-entries 3] Whoever listens hears of every entry that the signal shows, before it does.

import { batch, signal } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";
import { liveQuery } from "dexie";
import type { Entry } from "../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { Database, Head } from "../../workers/store/database.ts";
import { entriesAfter, headsOfRun } from "../../workers/store/read-run.ts";

/** The entries of a run, and how to bring them up to date at once. */
export type FollowedEntries = {
  readonly entries: ReadonlySignal<readonly Entry[]>;
  /** The last seq that is held of a device; follows as a signal does. */
  readonly seqOf: (device: DeviceId) => number;
  /** Errors: the store's. */
  readonly refresh: () => Promise<void>;
  /**
   * Shows an entry that was just stored here, without reading it again where it follows what is held.
   *
   * Errors: the store's.
   */
  readonly showStored: (entry: Entry) => Promise<void>;
  readonly stop: () => void;
};

/** Who hears of a run's entries besides the signal, and of what goes wrong. */
export type EntriesListener = {
  /** What came or was replaced, just before the signal shows it. */
  readonly onNews?: (news: readonly Entry[]) => void;
  readonly onError: (cause: unknown) => void;
};

/** Follows the entries of a run. Resolves when those that are held have been read. Errors: the store's. */
export async function followEntries(
  database: Database,
  run: RunId,
  { onNews, onError }: EntriesListener,
): Promise<FollowedEntries> {
  const held = new Map<DeviceId, HeldEntries>();
  const entries = signal<readonly Entry[]>([]);
  let turn: Promise<void> = Promise.resolve();

  function show(news: readonly Entry[]): void {
    if (news.length === 0) return;
    batch(() => {
      onNews?.(news);
      entries.value = [...held.values()].flatMap((one) => one.entries);
    });
  }

  async function readNews(heads: readonly Head[]): Promise<void> {
    const news = await Promise.all(heads.map((head) => readDevice(database, head, held)));
    show(news.flat());
  }

  function inTurn(act: () => Promise<void>): Promise<void> {
    turn = turn.then(act, act);
    return turn;
  }

  const refresh = (): Promise<void> =>
    inTurn(async () => readNews(await headsOfRun(database, run)));

  const showStored = (entry: Entry): Promise<void> =>
    inTurn(async () => {
      const before = held.get(entry.device);
      if (before?.entries.length !== entry.seq - 1) {
        return readNews(await headsOfRun(database, run));
      }
      held.set(entry.device, { ...before, entries: [...before.entries, entry] });
      return show([entry]);
    });

  await refresh();
  const subscription = liveQuery(() => headsOfRun(database, run)).subscribe({
    next: (heads) => {
      inTurn(() => readNews(heads)).catch(onError);
    },
    error: onError,
  });
  const seqOf = (device: DeviceId): number =>
    entries.value.length === 0 ? 0 : (held.get(device)?.entries.length ?? 0);
  return { entries, seqOf, refresh, showStored, stop: () => subscription.unsubscribe() };
}

type HeldEntries = { readonly replacements: number; readonly entries: readonly Entry[] };

// Returns what is new of one device.
async function readDevice(
  database: Database,
  head: Head,
  heldMutable: Map<DeviceId, HeldEntries>,
): Promise<readonly Entry[]> {
  const before = heldMutable.get(head.device);
  // Heads that were read before others may be told after them.
  if (before !== undefined && before.replacements > head.replacements) return [];
  const same = before !== undefined && before.replacements === head.replacements;
  const known = same ? before.entries : [];
  if (known.length >= head.seq) return [];
  const news = await entriesAfter(database, head, known.length);
  // More may have come since the head was read; they are of its chain, so they count.
  heldMutable.set(head.device, {
    replacements: head.replacements,
    entries: [...known, ...news],
  });
  return news;
}
