// What a sync needs from outside, and what it works on.

import type { Database, Device, RunAtHub } from "../store/database.ts";
import type { HubDoor } from "./hub-requests.ts";
import type { SyncMessage } from "./messages.ts";

/** What lies outside of the loop. */
export type SyncWorld = {
  readonly database: Database;
  readonly door: HubDoor;
  /** This device's clock, milliseconds since 1970. */
  readonly readWallMs: () => number;
  /** From 0 to 1, 1 excluded. */
  readonly random: () => number;
  /** Tells every page of the device. */
  readonly tell: (message: SyncMessage) => void;
};

/** A run on this device that the hub knows it by, as a round sees it. */
export type RunAtWork = {
  readonly stored: RunAtHub;
  readonly device: Device;
};
