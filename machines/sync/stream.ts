// Following: GET /api/runs/:run/stream, server-sent events.
//
// The stream only says that there is something to pull; the pull stays the one source.
// Events: `entries` and `heard` with the JSON below as data; a comment every 15 s keeps the line open.

import type { DeviceId } from "../record/ids.ts";

/** Event `entries`: the run has entries up to this cursor position. */
export type EntriesHint = { readonly after: number };

/** Event `heard`: when each device last spoke to the hub, and the hub's time now; milliseconds since 1970. */
export type HeardHint = {
  readonly lastHeardMs: Readonly<Record<DeviceId, number>>;
  readonly hubMs: number;
};
