// What other hubs on the same database take reaches those who follow at this one.
//
// [watch-others 1] A follower hears of it by the other hub's hint, and where that is lost, within
//   `lookPeriodMs`.

import type { RunId } from "../../machines/record/ids.ts";
import type { Hub } from "./hub.ts";

/** How often a hub looks by itself whether the runs that are followed have something new. */
export const lookPeriodMs = 5_000;

/** Begins to watch; the result ends that. Errors: none; those of the storage are logged. */
export function watchOthers(hub: Pick<Hub, "storage" | "streams" | "clock" | "log">): () => void {
  const { storage, streams, clock, log } = hub;

  async function tellOf(run: RunId): Promise<void> {
    if (streams.placesTold().has(run)) streams.tellEntries(run, await storage.readHead(run));
  }

  async function look(): Promise<void> {
    for (const [run, told] of streams.placesTold()) {
      const head = await storage.readHead(run);
      if (head > told) streams.tellEntries(run, head);
    }
  }

  function noteFailure(cause: unknown): void {
    log("error", "watch.failed", { cause: String(cause) });
  }

  const stopHearing = storage.watch((run) => void tellOf(run).catch(noteFailure));
  const stopLooking = clock.every(lookPeriodMs, () => void look().catch(noteFailure));
  return () => {
    stopHearing();
    stopLooking();
  };
}
