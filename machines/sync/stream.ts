// Following: GET /api/runs/:run/stream, server-sent events.
//
// The stream only says that there is something to pull; the pull stays the one source.
// Events: `entries` and `heard` with the JSON below as data; a comment every 15 s keeps the line open.
// The token goes in the header as everywhere, so the stream is read by `fetch`, not by an EventSource.

import { number, object, readShape, wholeNumber } from "../procedure/read-shape.ts";
import type { ShapeReading } from "../procedure/read-shape.ts";
import type { DeviceId } from "../record/ids.ts";
import { byDevice } from "./wire-shapes.ts";

/** Event `entries`: the run has entries up to this cursor position. */
export type EntriesHint = { readonly after: number };

/** Event `heard`: when each device last spoke to the hub, and the hub's time now; milliseconds since 1970. */
export type HeardHint = {
  readonly lastHeardMs: Readonly<Record<DeviceId, number>>;
  readonly hubMs: number;
};

/** Reads the data of an event `entries`. Errors: none; faults are data. */
export function readEntriesHint(value: unknown): ShapeReading<EntriesHint> {
  return readShape(entriesHintShape, value);
}

/** Reads the data of an event `heard`. Errors: none; faults are data. */
export function readHeardHint(value: unknown): ShapeReading<HeardHint> {
  return readShape(heardHintShape, value);
}

const entriesHintShape = object({ after: wholeNumber({ min: 0 }) });

const heardHintShape = object({ lastHeardMs: byDevice(number()), hubMs: number() });
