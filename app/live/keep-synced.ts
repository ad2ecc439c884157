// While a run is open in a page: wakes the sync when there is reason to, and watches clock and stream.

import { computed } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";
import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { followHub } from "../../workers/link/hub-stream.ts";
import { asLeader } from "../../workers/link/writer-lock.ts";
import { clockJumpMs } from "../../workers/store/clock-watch.ts";
import type { Link } from "../../workers/store/database.ts";
import { isClosed } from "../../workers/store/read-rights.ts";
import { readLink } from "../../workers/store/read-run.ts";
import { recordClockJump } from "../../workers/store/record-clock.ts";
import { writeDurably } from "../../workers/store/write-durably.ts";
import type { LinkState } from "./live-run.ts";
import type { LiveStore } from "./live-store.ts";
import { hearSyncs, wakeSync } from "./wake-sync.ts";
import { tellConsole } from "../../workers/link/tell-console.ts";

/** Between two syncs while something is unsent: half of this to all of it. */
const unsentEveryMs = 5_000;
/** Between two syncs while nothing is: half of this to all of it, and a little. */
const idleEveryMs = 20_000;
/** When others were heard is stored at most so often. */
const heardEveryMs = 5_000;

/** A run in a page. */
export type KeptRun = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly token: string | null;
  readonly link: ReadonlySignal<Link>;
  readonly linkState: ReadonlySignal<LinkState>;
};

/** Keeps a run in step with the hub until the signal aborts. */
export function keepSynced(store: LiveStore, kept: KeptRun, signal: AbortSignal): void {
  keepWaking(store, kept, signal);
  // One window of the device holds the stream and watches the clock.
  asLeader(`lead:${kept.run}`, signal, async () => {
    await Promise.all([keepStream(store, kept, signal), watchClock(store, kept, signal)]);
  }).catch(report);
}

function keepWaking(store: LiveStore, kept: KeptRun, signal: AbortSignal): void {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let notBeforeMs = 0;
  const wake = (): void => wakeSync(store, kept.run);
  const wakeIfVisible = (): void => {
    if (document.visibilityState === "visible") wake();
  };
  const plan = (): void => {
    const everyMs = kept.linkState.peek().unsent > 0 ? unsentEveryMs : idleEveryMs;
    timer = setTimeout(tick, (everyMs / 2) * (1 + store.random()));
  };
  const tick = (): void => {
    if (store.readMonotonicMs() >= notBeforeMs) wakeIfVisible();
    plan();
  };
  addEventListener("online", wake, { signal });
  addEventListener("pageshow", wake, { signal });
  document.addEventListener("visibilitychange", wakeIfVisible, { signal });
  const stopHearing = hearSyncs((message) => {
    if (message.run !== kept.run) return;
    const delayMs = message.type === "run.sync-put-off" ? message.delayMs : 0;
    notBeforeMs = store.readMonotonicMs() + delayMs;
  });
  signal.addEventListener("abort", () => {
    clearTimeout(timer);
    stopHearing();
  });
  wake();
  plan();
}

async function keepStream(store: LiveStore, kept: KeptRun, signal: AbortSignal): Promise<void> {
  await untilRegistered(kept, signal);
  let heardAtMs = Number.NEGATIVE_INFINITY;
  const ears = {
    random: store.random,
    onEntries: (hint: { readonly after: number }) => {
      const after = kept.link.peek().cursor?.after ?? -1;
      if (hint.after !== after) wakeSync(store, kept.run);
    },
    onHeard: (hint: { readonly lastHeardMs: Link["lastHeardMs"] }) => {
      const nowMs = store.readMonotonicMs();
      if (nowMs - heardAtMs < heardEveryMs) return;
      heardAtMs = nowMs;
      noteHeard(store, kept.run, hint.lastHeardMs).catch(report);
    },
  };
  // A run that came by a bundle is known to no hub by this device.
  if (kept.token === null) return;
  await followHub(store.door, { run: kept.run, token: kept.token }, ears, signal);
}

// Resolves when the hub knows the run, or the page is done with it.
function untilRegistered(kept: KeptRun, signal: AbortSignal): Promise<void> {
  const registered = computed(() => kept.link.value.registered);
  return new Promise((resolve) => {
    const stop = registered.subscribe((known) => {
      if (known) resolve();
    });
    signal.addEventListener("abort", () => {
      stop();
      resolve();
    });
  });
}

async function noteHeard(
  store: LiveStore,
  run: RunId,
  lastHeardMs: Link["lastHeardMs"],
): Promise<void> {
  const { database } = store;
  await writeDurably(database, [database.links], async () => {
    const link = await readLink(database, run);
    const lastContactMs = store.readWallMs();
    await database.links.put({ ...link, lastHeardMs, lastContactMs, lastFailureMs: null });
  });
}

// Finds that the wall clock was set back while this page was open.
async function watchClock(store: LiveStore, kept: KeptRun, signal: AbortSignal): Promise<void> {
  const read = () => ({ wallMs: store.readWallMs(), monotonicMs: store.readMonotonicMs() });
  let before = read();
  const tick = (): void => {
    const now = read();
    const byMs = clockJumpMs(before, now);
    before = now;
    if (byMs !== 0) noteJump(store, kept, byMs).catch(report);
  };
  const timer = setInterval(tick, 1_000);
  await new Promise<void>((resolve) => {
    signal.addEventListener("abort", () => resolve());
    if (signal.aborted) resolve();
  });
  clearInterval(timer);
}

async function noteJump(store: LiveStore, kept: KeptRun, byMs: number): Promise<void> {
  const { run, device } = kept;
  if (await isClosed(store.database, run)) return;
  await recordClockJump(store.database, { run, device, wallMs: store.readWallMs() }, byMs);
  wakeSync(store, run);
}

function report(cause: unknown): void {
  tellConsole("Keeping a run in step failed.", cause);
}
