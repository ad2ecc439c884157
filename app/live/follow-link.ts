// How a run stands with the hub, as signals.

import { computed, signal } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";
import { liveQuery } from "dexie";
import type { RunId } from "../../machines/record/ids.ts";
import { bestSample } from "../../workers/store/clock-watch.ts";
import { emptyLink } from "../../workers/store/database.ts";
import type { Database, Link } from "../../workers/store/database.ts";
import { readLink } from "../../workers/store/read-run.ts";
import type { LinkState } from "./live-run.ts";

/** A hub that was last heard longer ago than this is not called online. */
const onlineMsMax = 45_000;

/** The link of a run, and this device's last own entry. */
export type FollowedLink = {
  readonly link: ReadonlySignal<Link>;
  readonly ownSeq: ReadonlySignal<number>;
  readonly stop: () => void;
};

/**
 * Follows a run's link. Resolves when it has been read once. Errors: the store's.
 *
 * @param of `ownSeq` gives this device's last seq in the run, and follows as a signal does
 */
export async function followLink(
  database: Database,
  of: { readonly run: RunId; readonly ownSeq: () => number },
  onError: (cause: unknown) => void,
): Promise<FollowedLink> {
  const { run, ownSeq } = of;
  const link = signal(emptyLink(run));
  const stop = await new Promise<() => void>((resolve, reject) => {
    const subscription = liveQuery(() => readLink(database, run)).subscribe({
      next: (next) => {
        link.value = next;
        resolve(() => subscription.unsubscribe());
      },
      error: (cause: unknown) => {
        reject(cause);
        onError(cause);
      },
    });
  });
  return { link, ownSeq: computed(ownSeq), stop };
}

/** The hub's time as this device knows it. */
export function hubTime(
  link: ReadonlySignal<Link>,
  wallMs: ReadonlySignal<number>,
): ReadonlySignal<number> {
  return computed(() => wallMs.value + Math.round(bestSample(link.value)?.offsetMs ?? 0));
}

/** How this device stands with the hub, if it has joined there. `wallMs` moves on every second. */
export function linkState(
  followed: FollowedLink,
  wallMs: ReadonlySignal<number>,
  isJoined: boolean,
): ReadonlySignal<LinkState> {
  const hub = computed(() => (isJoined ? hubOf(followed.link.value, wallMs.value) : "none"));
  return computed(() => {
    const { lastContactMs, confirmedSeq, lastHeardMs, refused, writtenAgain } = followed.link.value;
    const unsent = Math.max(0, followed.ownSeq.value - confirmedSeq);
    return { hub: hub.value, lastContactMs, unsent, lastHeardMs, refused, writtenAgain };
  });
}

function hubOf(link: Link, wallMs: number): LinkState["hub"] {
  const { lastContactMs, lastFailureMs } = link;
  if (lastFailureMs !== null) return "offline";
  if (lastContactMs === null) return "unknown";
  return wallMs - lastContactMs <= onlineMsMax ? "online" : "offline";
}
