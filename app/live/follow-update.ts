// The service worker of this page, and the new version of the app that may wait behind it.
//
// [follow-update 1] A new version is taken only when the person says so, and not while a run is under
//   way on this device.

import { signal } from "@preact/signals";
import { takeUpdate, watchUpdate } from "../../workers/link/app-update.ts";
import type { Database } from "../../workers/store/database.ts";
import { RunOpenError } from "../../workers/store/run-open-error.ts";
import { isClosed } from "../../workers/store/read-rights.ts";
import { headsOfRun } from "../../workers/store/read-run.ts";
import type { LiveShelf } from "./live-shelf.ts";
import { tellConsole } from "../../workers/link/tell-console.ts";

/** A run whose last entry is older than this no longer keeps an update away. */
export const underWayMsMax = 24 * 3_600_000;
/** A new version is looked for at least so often while the page is seen. */
const lookEveryMs = 3_600_000;

const update = signal<"none" | "ready" | "taking">("none");
let registration: ServiceWorkerRegistration | undefined;

/** Whether a new version waits. */
export const updateState: LiveShelf["update"] = update;

/**
 * Registers the service worker and looks for new versions from now on.
 *
 * Errors: none; without a service worker the page works while it is open, and says so in the console.
 */
export async function registerServiceWorker(): Promise<void> {
  const container: ServiceWorkerContainer | undefined = navigator.serviceWorker;
  if (container === undefined) {
    tellConsole("The app will not open without network.", "no service worker here");
    return;
  }
  try {
    const registered = await container.register("/service-worker.js", { type: "classic" });
    registration = registered;
    watchUpdate(container, registered, () => {
      update.value = "ready";
    });
    container.addEventListener("controllerchange", () => {
      if (update.peek() === "taking") location.reload();
    });
    lookForUpdates(registered);
  } catch (cause) {
    tellConsole("The service worker could not be registered.", cause);
  }
}

/**
 * Lets the waiting version take over; the page then loads anew.
 *
 * @param wallMs this device's clock, milliseconds since 1970
 * Errors: `RunOpenError` while a run is under way here; Dexie's.
 */
export async function takeWaitingUpdate(database: Database, wallMs: number): Promise<void> {
  const title = await runUnderWay(database, wallMs);
  if (title !== null) throw new RunOpenError(title);
  if (registration === undefined) return;
  update.value = "taking";
  if (!takeUpdate(registration)) update.value = "none";
}

// The title of a run that is not closed and had an entry lately; null: there is none.
async function runUnderWay(database: Database, wallMs: number): Promise<string | null> {
  for (const stored of await database.runs.toArray()) {
    if (await isClosed(database, stored.run)) continue;
    const heads = await headsOfRun(database, stored.run);
    const lastEntries = await database.entries.bulkGet(
      heads.map((head) => [head.run, head.device, head.seq]),
    );
    const lastMs = Math.max(stored.storedAtMs, ...lastEntries.map((entry) => entry?.wallMs ?? 0));
    if (wallMs - lastMs < underWayMsMax) return stored.title;
  }
  return null;
}

function lookForUpdates(registered: ServiceWorkerRegistration): void {
  const look = (): void => {
    // Out of reach of the hub, there is nothing to find.
    registered.update().catch(() => undefined);
  };
  setInterval(look, lookEveryMs);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") look();
  });
}
