// Getting a run synced: by the service worker if this page has one, else by this page itself.
//
// [wake-sync 1] Both ways run the same loop, in turn over all windows of the device.

import {
  backgroundSyncTag,
  readSyncMessage,
  syncChannelName,
} from "../../workers/link/messages.ts";
import type { PageMessage, SyncMessage } from "../../workers/link/messages.ts";
import { createSyncLoop } from "../../workers/link/sync-loop.ts";
import type { SyncLoop } from "../../workers/link/sync-loop.ts";
import type { RunId } from "../../machines/record/ids.ts";
import type { LiveStore } from "./live-store.ts";
import { tellConsole } from "../../workers/link/tell-console.ts";

/** Wakes whoever syncs on this device, for one run or, with null, for all that have something to bring. */
export function wakeSync(store: LiveStore, run: RunId | null): void {
  const controller = serviceWorkers()?.controller ?? null;
  if (controller !== null) {
    const message: PageMessage = { type: "sync.wanted", run };
    controller.postMessage(message);
    return;
  }
  const loop = loopOfPage(store);
  const round = run === null ? loop.syncAll() : loop.syncRun(run);
  round.catch((cause: unknown) => tellConsole("A sync of this page failed.", cause));
}

/** Syncs a run in this page, and resolves when the round has ended, however it did. Errors: the store's. */
export async function syncHere(store: LiveStore, run: RunId): Promise<void> {
  await loopOfPage(store).syncRun(run);
}

/**
 * Asks the browser to wake the service worker when there is network, even with every page closed.
 *
 * Errors: none; most browsers cannot, and the pages wake it then.
 */
export async function askBackgroundSync(): Promise<void> {
  try {
    const registration = await serviceWorkers()?.getRegistration();
    const sync: unknown = registration === undefined ? null : Reflect.get(registration, "sync");
    if (isSyncManager(sync)) await sync.register(backgroundSyncTag);
  } catch {
    // Refused in private windows, or without permission.
  }
}

/** Hears what becomes of syncs on this device, wherever they run. Returns how to stop. */
export function hearSyncs(onMessage: (message: SyncMessage) => void): () => void {
  const channel = new BroadcastChannel(syncChannelName);
  const hear = (event: MessageEvent<unknown>): void => {
    const message = readSyncMessage(event.data);
    if (message !== null) onMessage(message);
  };
  channel.addEventListener("message", hear);
  return () => {
    channel.removeEventListener("message", hear);
    channel.close();
  };
}

// One for each store, which is one for the page.
const loops = new WeakMap<LiveStore["database"], SyncLoop>();

function loopOfPage(store: LiveStore): SyncLoop {
  const known = loops.get(store.database);
  if (known !== undefined) return known;
  const channel = new BroadcastChannel(syncChannelName);
  const loop = createSyncLoop({ ...store, tell: (message) => channel.postMessage(message) });
  loops.set(store.database, loop);
  return loop;
}

function serviceWorkers(): ServiceWorkerContainer | undefined {
  return typeof navigator === "undefined" ? undefined : navigator.serviceWorker;
}

function isSyncManager(value: unknown): value is { register: (tag: string) => Promise<void> } {
  return typeof value === "object" && value !== null && "register" in value;
}
