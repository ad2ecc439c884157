// Sending entries: POST /api/runs/:run/entries. Repeating it changes nothing.
//
// Whoever is in the run may send what any device of the run has signed: so a record comes to the hub by
// way of any tablet that holds it.
// The hub takes of each segment what follows on what it has of that device, or nothing.
// Codes of `refused`:
//   "gap"        entries before it are missing: send from `have` + 1
//   "fork"       the hub has another entry under a seq of it
//   "chain"      it follows on another entry than the one that the hub has
//   "signature"  its head is not signed by the device that it names
//   "stand-in"   it holds a stand-in, which only the hub makes
// What is forked, breaks the chain or bears a wrong signature is set aside as evidence.

import { list, number, object, readShape, text, wholeNumber } from "../procedure/read-shape.ts";
import type { ShapeReading } from "../procedure/read-shape.ts";
import type { DeviceId } from "../record/ids.ts";
import { byDevice, deviceIdShape, listUpTo, unreadObject } from "./wire-shapes.ts";

/** At most so many segments in one push. */
export const pushSegmentsMax = 50;
/** At most so many entries in one push, over all its segments. */
export const pushEntriesMax = 500;
/** A request body is at most so many bytes, as it is sent. */
export const requestBytesMax = 1_048_576;
/** A body that was sent compressed (content-encoding: gzip) unpacks to at most so many bytes. */
export const unpackedBytesMax = 4 * requestBytesMax;

/** Segments, those of one device by rising seq. Each is to be read by `readSegment`. */
export type PushRequest = { readonly segments: readonly unknown[] };

/** What the hub has now; answered only after its commit. */
export type PushAnswer = {
  /** Highest seq at the hub of each device of the run, without a gap below. */
  readonly have: Readonly<Record<DeviceId, number>>;
  /** The segments that were not taken, and why. */
  readonly refused: readonly RefusedSegment[];
  readonly stamps: HubStamps;
};

/** A segment that the hub did not take. */
export type RefusedSegment = {
  readonly device: DeviceId;
  /** The first entry that was not taken. */
  readonly seq: number;
  readonly code: string;
  readonly says: string;
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

const pushRequestShape = object({ segments: listUpTo(pushSegmentsMax, unreadObject) });

/** The shape of `have`. */
export const haveShape = byDevice(wholeNumber({ min: 1 }));

/** The shape of `HubStamps`. */
export const hubStampsShape = object({ receivedMs: number(), answeredMs: number() });

const refusedShape = object({
  device: deviceIdShape,
  seq: wholeNumber({ min: 1 }),
  code: text,
  says: text,
});

const pushAnswerShape = object({
  have: haveShape,
  refused: list(refusedShape),
  stamps: hubStampsShape,
});
