// A run that is open on this device: signals that follow the store, and the act `take`.
//
// [live-run 1] `take` resolves to true only after the entry is durably stored and the signals show it.
// [live-run 2] A tap that could not be stored is refused visibly: false, and `refusal` says why.
// [live-run 3] Taps of one run are taken one after another, over all windows of the device.
// [live-run 4] Every window shows what any of them, or the service worker, has stored.

import { computed, signal } from "@preact/signals";
import type { ReadonlySignal, Signal } from "@preact/signals";
import { liveQuery } from "dexie";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { InjectScript } from "../../machines/procedure/inject-script.ts";
import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
import type { Entry, EntryBody } from "../../machines/record/entry.ts";
import type { RunId } from "../../machines/record/ids.ts";
import type { RunState } from "../../machines/record/run-state.ts";
import {
  addEntries,
  emptyRunningRecord,
  stateOfRecord,
} from "../../machines/record/running-record.ts";
import { withNamesApart } from "../../machines/views/names-apart.ts";
import { recoveryDeviceOf } from "../../machines/views/recovery-device.ts";
import { checkLetters } from "../../workers/keys/check-letters.ts";
import { appendEntry } from "../../workers/store/append-entry.ts";
import type { Database, Device, StoredRun } from "../../workers/store/database.ts";
import { ProcedureMissingError } from "../../workers/store/procedure-missing-error.ts";
import { readRun, readStoredProcedure } from "../../workers/store/read-run.ts";
import { RunMissingError } from "../../workers/store/run-missing-error.ts";
import { readDevice } from "../../workers/store/this-device.ts";
import { openOrFail } from "../../workers/store/write-durably.ts";
import { afterPaint } from "./after-paint.ts";
import { followEntries } from "./follow-entries.ts";
import type { FollowedEntries } from "./follow-entries.ts";
import { followLink, hubTime, linkState } from "./follow-link.ts";
import { followSetAside } from "./follow-set-aside.ts";
import { keepSynced } from "./keep-synced.ts";
import type { LiveRun, TapRefusal } from "./live-run.ts";
import { liveStore } from "./live-store.ts";
import type { LiveStore } from "./live-store.ts";
import { refusalOf } from "./refusal-of.ts";
import { askBackgroundSync, wakeSync } from "./wake-sync.ts";

type Opened = { readonly opening: Promise<LiveRun>; readonly closing: AbortController };

const openRuns = new Map<RunId, Opened>();

/**
 * Opens a run that is on this device; it stays open until the page goes, or `closeLiveRun`.
 *
 * Errors: `RunMissingError`, `ProcedureMissingError`, and the store's; it may be tried again.
 */
export function openLiveRun(run: RunId): Promise<LiveRun> {
  const known = openRuns.get(run);
  if (known !== undefined) return known.opening;
  const closing = new AbortController();
  const opening = createLiveRun(liveStore(), run, closing.signal);
  openRuns.set(run, { opening, closing });
  opening.catch(() => openRuns.delete(run));
  return opening;
}

/** Closes a run, so that it is opened anew: this device has another role in it. Errors: none. */
export function closeLiveRun(run: RunId): void {
  openRuns.get(run)?.closing.abort();
  openRuns.delete(run);
}

/**
 * As `openLiveRun`, on a store of one's own and until the signal aborts.
 *
 * Errors: as `openLiveRun`.
 */
export async function createLiveRun(
  store: LiveStore,
  run: RunId,
  until: AbortSignal,
): Promise<LiveRun> {
  const { database } = store;
  await openOrFail(database);
  const stored = await readRun(database, run);
  if (stored === undefined) throw new RunMissingError();
  const device = await readDevice(database);
  const procedure = await readStoredProcedure(database, stored.procedure);
  if (procedure === undefined) {
    wakeSync(store, run);
    throw new ProcedureMissingError();
  }
  const refusal = signal<TapRefusal | null>(null);
  const onError = (cause: unknown): void => {
    refusal.value = refusalOf(cause);
  };
  const index = indexProcedure(procedure);
  const record = emptyRunningRecord(index);
  const stateNow = (): RunState => withNamesApart(stateOfRecord(record), checkLetters);
  const state = signal(stateNow());
  const onNews = (news: readonly Entry[]): void => {
    addEntries(record, news);
    state.value = stateNow();
  };
  const followed = await followEntries(database, run, { onNews, onError });
  const ownSeq = (): number => followed.seqOf(device.device);
  const followedLink = await followLink(database, { run, ownSeq }, onError);
  const wallMs = tickingClock(store, until);
  const link = linkState(followedLink, wallMs, stored.token !== null);
  const { entries } = followed;
  const ofRun = { run, index, state, entries, link: followedLink.link };
  until.addEventListener("abort", () => {
    followed.stop();
    followedLink.stop();
  });
  const kept = { run, device: device.device, token: stored.token, link: followedLink.link };
  keepSynced(store, { ...kept, linkState: link }, until);
  return {
    run,
    procedure,
    index,
    injectScript: followScript(database, run, until),
    me: { device: device.device, name: device.name, role: stored.role, lane: stored.lane },
    entries,
    state,
    setAside: followSetAside(database, ofRun, until, onError),
    recovery: computed(() => recoveryDeviceOf(entries.value)),
    nowMs: hubTime(followedLink.link, wallMs),
    link,
    refusal,
    take: createTake({ store, stored, device, followed, refusal }),
    dismissRefusal: () => {
      refusal.value = null;
    },
  };
}

type Taking = {
  readonly store: LiveStore;
  readonly stored: StoredRun;
  readonly device: Device;
  readonly followed: FollowedEntries;
  readonly refusal: Signal<TapRefusal | null>;
};

// The first tap begins its transaction before the click's task ends. A lock over all windows would
// keep it waiting for another process; the transactions alone keep the windows' taps in turn.
function createTake({ store, stored, device, followed, refusal }: Taking): LiveRun["take"] {
  const { run } = stored;
  let turn: Promise<unknown> = Promise.resolve();
  return async (body: EntryBody, position: PositionId | null): Promise<boolean> => {
    const tap = { run, device: device.device, position, body, wallMs: store.readWallMs() };
    const append = (): Promise<Entry> => appendEntry(store.database, tap);
    const appended = turn.then(append, append);
    turn = appended;
    let taken: Entry;
    try {
      taken = await appended;
    } catch (cause) {
      refusal.value = refusalOf(cause);
      return false;
    }
    // The tap is kept. If it cannot be read back now, the follower shows it when it can.
    await followed.showStored(taken).catch((cause: unknown) => {
      refusal.value = refusalOf(cause);
    });
    afterPaint(() => {
      wakeSync(store, run);
      void askBackgroundSync();
    });
    return true;
  };
}

function followScript(
  database: Database,
  run: RunId,
  until: AbortSignal,
): ReadonlySignal<InjectScript | null> {
  const script = signal<InjectScript | null>(null);
  const subscription = liveQuery(() => database.injectScripts.get(run)).subscribe({
    next: (stored) => {
      script.value = stored?.script ?? null;
    },
    error: () => {
      // The store is gone; whatever the person does next says so.
    },
  });
  until.addEventListener("abort", () => subscription.unsubscribe());
  return script;
}

function tickingClock(store: LiveStore, until: AbortSignal): ReadonlySignal<number> {
  const wallMs = signal(store.readWallMs());
  const timer = setInterval(() => {
    wallMs.value = store.readWallMs();
  }, 1_000);
  until.addEventListener("abort", () => clearInterval(timer));
  return wallMs;
}
