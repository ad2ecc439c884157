// A page for tests: the live things on a database in memory, with the browser's events at hand.
// Node has no document; what `keep-synced.ts` listens to is put in its place.

import { onTestFinished } from "vitest";
import { createLiveRun } from "../../../../app/live/open-live-run.ts";
import type { LiveRun } from "../../../../app/live/live-run.ts";
import type { LiveStore } from "../../../../app/live/live-store.ts";
import type { RunId } from "../../../../machines/record/ids.ts";
import type { Database } from "../../../../workers/store/database.ts";
import type { Tablet } from "../../workers/link/a-tablet.ts";
import type { TestHub } from "../../workers/hub/a-hub.ts";

const documentEvents = new EventTarget();
Object.defineProperty(documentEvents, "visibilityState", { value: "visible" });
Object.assign(globalThis, {
  document: documentEvents,
  addEventListener: documentEvents.addEventListener.bind(documentEvents),
});

/** The store of a page of this tablet; another window of it with another connection. */
export function storeOf(testHub: TestHub, tablet: Tablet, database?: Database): LiveStore {
  return {
    database: database ?? tablet.database,
    door: tablet.door,
    readWallMs: () => testHub.clock.nowMs() + tablet.line.aheadMs,
    readMonotonicMs: () => testHub.clock.nowMs(),
    random: () => 0,
  };
}

/** A run that is open until the test ends. */
export async function openPage(store: LiveStore, run: RunId): Promise<LiveRun> {
  const closing = new AbortController();
  onTestFinished(() => closing.abort());
  return createLiveRun(store, run, closing.signal);
}

/** Waits until the condition holds, looking whenever the platform has had a turn. */
export async function until(holds: () => boolean): Promise<void> {
  while (!holds()) {
    await new Promise((resolve) => {
      setImmediate(resolve);
    });
  }
}
