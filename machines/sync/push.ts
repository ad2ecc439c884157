// Sending entries: POST /api/runs/:run/entries. Repeating it changes nothing.
//
// The hub takes the longest prefix that follows on what it has, and says where it stopped.
// Codes of `refused`: "gap" (entries before it are missing: send from `have` + 1), "fork" (the hub has
// another entry under that seq) and "chain" (its `prev` is not the digest of the entry before it).
// The hub sets aside what is forked or breaks the chain, with all that follows in the push.

import type { Entry } from "../record/entry.ts";
import { nullable, number, object, readShape, text, wholeNumber } from "../procedure/read-shape.ts";
import type { ShapeReading } from "../procedure/read-shape.ts";
import type { DeviceId } from "../record/ids.ts";
import { entryShape } from "../record/read-entry.ts";
import { byDevice, listUpTo } from "./wire-shapes.ts";

/** At most so many entries in one push. */
export const pushEntriesMax = 500;
/** A request body is at most so many bytes, as it is sent. */
export const requestBytesMax = 1_048_576;
/** A body that was sent compressed (content-encoding: gzip) unpacks to at most so many bytes. */
export const unpackedBytesMax = 4 * requestBytesMax;

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

/** Reads a `PushRequest`. Errors: none; faults are data. */
export function readPushRequest(value: unknown): ShapeReading<PushRequest> {
  return readShape(pushRequestShape, value);
}

/** Reads a `PushAnswer`. Errors: none; faults are data. */
export function readPushAnswer(value: unknown): ShapeReading<PushAnswer> {
  return readShape(pushAnswerShape, value);
}

const pushRequestShape = object({ entries: listUpTo(pushEntriesMax, entryShape) });

/** The shape of `have`. */
export const haveShape = byDevice(wholeNumber({ min: 1 }));

/** The shape of `HubStamps`. */
export const hubStampsShape = object({ receivedMs: number(), answeredMs: number() });

const pushAnswerShape = object({
  have: haveShape,
  refused: nullable(object({ seq: wholeNumber({ min: 1 }), code: text, says: text })),
  stamps: hubStampsShape,
});
