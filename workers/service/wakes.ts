// What wakes the service worker to sync.

import { backgroundSyncTag, readPageMessage } from "../link/messages.ts";
import { HubUnreachableError } from "../link/hub-unreachable-error.ts";
import type { SyncLoop } from "../link/sync-loop.ts";
import { tellConsole } from "../link/tell-console.ts";

/** An event of Background Sync. */
export type SyncEvent = ExtendableEvent & { readonly tag: string };

/** Does what a page asks for; other messages are let be. Errors: none; a sync that fails is told in the console. */
export function answerPageMessage(
  event: Pick<ExtendableMessageEvent, "data" | "waitUntil">,
  loop: SyncLoop,
  takeOver: () => Promise<void>,
): void {
  const message = readPageMessage(event.data);
  if (message === null) return;
  if (message.type === "update.take") {
    event.waitUntil(takeOver());
    return;
  }
  const round = message.run === null ? loop.syncAll() : loop.syncRun(message.run);
  event.waitUntil(
    Promise.resolve(round).catch((cause: unknown) => tellConsole("A sync failed.", cause)),
  );
}

/**
 * Syncs everything when the browser says that there is network. If it comes to nothing, the promise
 * rejects, and the browser wakes the service worker again later.
 */
export function answerSyncEvent(event: Pick<SyncEvent, "tag" | "waitUntil">, loop: SyncLoop): void {
  if (event.tag === backgroundSyncTag) event.waitUntil(syncAllOrFail(loop));
}

async function syncAllOrFail(loop: SyncLoop): Promise<void> {
  if (!(await loop.syncAll())) throw new HubUnreachableError();
}
