// Keeping what an exchange with the hub told: when it answered, what it has, what its clock says.

import { clockOffset } from "../../machines/record/clock-offset.ts";
import type { RunId } from "../../machines/record/ids.ts";
import type { HubStamps } from "../../machines/sync/push.ts";
import type { SyncSession } from "../../machines/sync/sync-session.ts";
import { addSample } from "../store/clock-watch.ts";
import type { Link } from "../store/database.ts";
import { readLink } from "../store/read-run.ts";
import { writeDurably } from "../store/write-durably.ts";
import type { SyncWorld } from "./sync-world.ts";

/** One exchange: this device's clock before and after, and the hub's stamps. */
export type Exchange = {
  readonly sentMs: number;
  readonly returnedMs: number;
  readonly stamps: HubStamps;
};

/** The link after the hub has answered. */
export function afterContact(link: Link, exchange: Exchange): Link {
  const { sentMs, returnedMs, stamps } = exchange;
  const contacted: Link = { ...link, registered: true, lastContactMs: returnedMs };
  const offset = clockOffset({ sentMs, returnedMs, ...stamps });
  return offset === undefined ? contacted : addSample(contacted, { wallMs: returnedMs, ...offset });
}

/** Changes a run's link. Errors: those of `writeDurably`. */
export async function changeLink(
  world: SyncWorld,
  run: RunId,
  change: (link: Link) => Link,
): Promise<void> {
  const { links } = world.database;
  await writeDurably(world.database, [links], async () => {
    await links.put(change(await readLink(world.database, run)));
  });
}

/** Keeps what a finished round left. Errors: those of `writeDurably`. */
export async function noteRound(world: SyncWorld, run: RunId, session: SyncSession): Promise<void> {
  await changeLink(world, run, (link) => ({
    ...link,
    refused: session.refused,
    lastFailureMs: null,
  }));
}

/** Keeps that a round was put off, and why. Errors: those of `writeDurably`. */
export async function noteFailure(
  world: SyncWorld,
  run: RunId,
  session: SyncSession,
): Promise<void> {
  const { registered, confirmedSeq, cursor, refused } = session;
  const lastFailureMs = world.readWallMs();
  await changeLink(world, run, (link) => ({
    ...link,
    registered,
    confirmedSeq,
    cursor,
    refused,
    lastFailureMs,
  }));
}
