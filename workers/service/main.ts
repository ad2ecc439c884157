// The service worker: serves the app without a network, and syncs.
//
// [service 1] The whole app comes from the precache, version by version; requests to the hub's API are
//   never touched.
// [service 2] A new version waits until a page's person says `update.take`; it takes over pages by
//   itself only at the very first visit, when there is no older one.
// [service 3] It syncs when a page or the browser wakes it, with the same loop as a page.

/// <reference lib="webworker" />

import { createHandlerBoundToURL, precacheAndRoute } from "workbox-precaching";
import type { PrecacheEntry } from "workbox-precaching";
import { NavigationRoute, registerRoute } from "workbox-routing";
import { ownHub } from "../link/hub-requests.ts";
import { syncChannelName } from "../link/messages.ts";
import { createSyncLoop } from "../link/sync-loop.ts";
import { createDatabase } from "../store/database.ts";
import { answerPageMessage, answerSyncEvent } from "./wakes.ts";
import type { SyncEvent } from "./wakes.ts";

declare const self: ServiceWorkerGlobalScope & {
  // The build puts the list of the app's files here.
  readonly __WB_MANIFEST: readonly (PrecacheEntry | string)[];
};

precacheAndRoute([...self.__WB_MANIFEST]);
registerRoute(
  new NavigationRoute(createHandlerBoundToURL("/index.html"), {
    denylist: [/^\/api\//, /^\/healthz$/, /^\/metrics$/, /^\/trust/],
  }),
);

const channel = new BroadcastChannel(syncChannelName);
const loop = createSyncLoop({
  database: createDatabase(),
  door: ownHub(),
  readWallMs: () => Date.now(),
  random: () => Math.random(),
  tell: (message) => channel.postMessage(message),
});

let isFirstVersion = false;

self.addEventListener("install", () => {
  isFirstVersion = self.registration.active === null;
});

self.addEventListener("activate", (event) => {
  if (isFirstVersion) event.waitUntil(self.clients.claim());
});

self.addEventListener("message", (event) => {
  answerPageMessage(event, loop, () => self.skipWaiting());
});

// Background Sync, where the browser has it; TypeScript's library does not know it.
self.addEventListener("sync" as "message", (event: Event) => {
  answerSyncEvent(event as SyncEvent, loop);
});
