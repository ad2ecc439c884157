// The one store and the one door to the hub of this page, and the clock and chance that it uses.

import { ownHub } from "../../workers/link/hub-requests.ts";
import type { HubDoor } from "../../workers/link/hub-requests.ts";
import { createDatabase } from "../../workers/store/database.ts";
import type { Database } from "../../workers/store/database.ts";

/** What every live thing of this page stands on. */
export type LiveStore = {
  readonly database: Database;
  readonly door: HubDoor;
  /** This device's clock, milliseconds since 1970. */
  readonly readWallMs: () => number;
  /** Goes on evenly whatever the clock is set to, though not in sleep; milliseconds. */
  readonly readMonotonicMs: () => number;
  /** From 0 to 1, 1 excluded. */
  readonly random: () => number;
};

let store: LiveStore | undefined;

/** The page's store; its database opens at the first use. */
export function liveStore(): LiveStore {
  store ??= {
    database: createDatabase(),
    door: ownHub(),
    readWallMs: () => Date.now(),
    readMonotonicMs: () => performance.now(),
    random: () => Math.random(),
  };
  return store;
}
