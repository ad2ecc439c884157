// Fetching entries: GET /api/runs/:run/entries?epoch=E&after=C

import type { Entry } from "../record/entry.ts";
import type { DeviceId } from "../record/ids.ts";
import type { Admission } from "./join.ts";
import type { HubStamps } from "./push.ts";

/** At most so many entries in one answer. */
export const pullEntriesMax = 1_000;

/** Where a device stands in a run's entries at one hub. */
export type PullCursor = {
  /** Names the hub's storage; another epoch makes `after` meaningless, and the pull starts anew. */
  readonly epoch: string;
  readonly after: number;
};

/** Entries that came to the hub after the cursor, in the hub's order of arrival, and the next cursor. */
export type PullAnswer = {
  readonly cursor: PullCursor;
  readonly entries: readonly Entry[];
  /** True: ask again at once. */
  readonly more: boolean;
  readonly have: Readonly<Record<DeviceId, number>>;
  /** When each device last spoke to the hub; its clock, milliseconds since 1970. */
  readonly lastHeardMs: Readonly<Record<DeviceId, number>>;
  /** Directors' devices only; empty for others. */
  readonly admissions: readonly Admission[];
  readonly stamps: HubStamps;
};
