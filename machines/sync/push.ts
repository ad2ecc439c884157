// Sending entries: POST /api/runs/:run/entries. Repeating it changes nothing.

import type { Entry } from "../record/entry.ts";
import type { DeviceId } from "../record/ids.ts";

/** At most so many entries in one push. */
export const pushEntriesMax = 500;
/** A request body is at most so many bytes. */
export const requestBytesMax = 1_048_576;

/** Entries of the asking device, by rising seq without a gap. */
export type PushRequest = { readonly entries: readonly Entry[] };

/** What the hub has now; answered only after its commit. */
export type PushAnswer = {
  /** Highest seq at the hub of each device of the run, without a gap below. */
  readonly have: Readonly<Record<DeviceId, number>>;
  /** The first entry that was not taken, and why; those before it were taken. Null: all were. */
  readonly refused: { readonly seq: number; readonly code: string; readonly says: string } | null;
  readonly stamps: HubStamps;
};

/** When the hub had the whole request and when it answered; its clock, milliseconds since 1970. */
export type HubStamps = { readonly receivedMs: number; readonly answeredMs: number };
