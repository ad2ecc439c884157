// Fetching entries: GET /api/runs/:run/entries?epoch=E&after=C
//
// Definition: the hub *lists* each segment of a run under the next whole number, from 1, in the order in
//   which it took them; a cursor's `after` is such a number.
// [pull 1] Without a cursor, with another epoch, or with an `after` that the hub has not reached, the
//   answer starts from the beginning.
// [pull 2] Until the run is closed, a device that is no director's gets a stand-in for each entry that
//   only directors may read; see `redact-for-role.ts`.
// [pull 3] When a director's `run.closed` is taken, the hub lists those entries once more, after it, as
//   `unveiled`. So whoever follows by cursor gets them in full then, and whoever starts from the
//   beginning gets them in full everywhere. A device that holds a stand-in puts the entry in its place;
//   its digest must be the stand-in's. A device that holds the entry drops the repeat.
// [pull 4] An answer holds whole segments only, so that all that comes is covered by a signature.
// [pull 5] A device that was struck off gets no answer.

import type { Entry } from "../record/entry.ts";
import {
  list,
  number,
  object,
  oneOf,
  readShape,
  text,
  truth,
  wholeNumber,
} from "../procedure/read-shape.ts";
import type { ShapeReading } from "../procedure/read-shape.ts";
import type { DeviceId } from "../record/ids.ts";
import { entryShape } from "../record/read-entry.ts";
import { admissionShape } from "./join.ts";
import type { Admission } from "./join.ts";
import { haveShape, hubStampsShape } from "./push.ts";
import type { HubStamps } from "./push.ts";
import { byDevice, deviceIdShape, listUpTo, unreadObject } from "./wire-shapes.ts";

/** An answer ends with the segment in which it reaches so many entries. */
export const pullEntriesMax = 1_000;
/** At most so many segments in one answer. */
export const pullSegmentsMax = 1_000;

/** Where a device stands in a run's entries at one hub. */
export type PullCursor = {
  /** Names the hub's storage; another epoch makes `after` meaningless, and the pull starts anew. */
  readonly epoch: string;
  readonly after: number;
};

/** What came to the hub after the cursor, in the hub's order of arrival, and the next cursor. */
export type PullAnswer = {
  readonly cursor: PullCursor;
  /** Each is to be read by `readSegment`. */
  readonly segments: readonly unknown[];
  /** Entries in full of which stand-ins were listed before. */
  readonly unveiled: readonly Entry[];
  /** True: ask again at once. */
  readonly more: boolean;
  readonly have: Readonly<Record<DeviceId, number>>;
  /** When each device last spoke to the hub; its clock, milliseconds since 1970. */
  readonly lastHeardMs: Readonly<Record<DeviceId, number>>;
  /** Directors' devices only; empty for others. */
  readonly admissions: readonly Admission[];
  /** What the hub set aside; directors' devices only, empty for others. */
  readonly setAside: readonly SetAsideReport[];
  readonly stamps: HubStamps;
};

/** Why a segment was set aside by the hub. */
export type SetAsideCode = "fork" | "chain" | "signature";

/** That the hub set a segment aside. */
export type SetAsideReport = {
  /** The device that the segment names. */
  readonly device: DeviceId;
  readonly fromSeq: number;
  readonly toSeq: number;
  readonly code: SetAsideCode;
  /** Hub's clock, milliseconds since 1970. */
  readonly receivedMs: number;
};

/** Reads a `PullAnswer`. Errors: none; faults are data. */
export function readPullAnswer(value: unknown): ShapeReading<PullAnswer> {
  return readShape(pullAnswerShape, value);
}

const setAsideReportShape = object({
  device: deviceIdShape,
  fromSeq: wholeNumber({ min: 1 }),
  toSeq: wholeNumber({ min: 1 }),
  code: oneOf<SetAsideCode>(["fork", "chain", "signature"]),
  receivedMs: number(),
});

const pullAnswerShape = object({
  cursor: object({ epoch: text, after: wholeNumber({ min: 0 }) }),
  segments: listUpTo(pullSegmentsMax, unreadObject),
  unveiled: list(entryShape),
  more: truth,
  have: haveShape,
  lastHeardMs: byDevice(number()),
  admissions: list(admissionShape),
  setAside: list(setAsideReportShape),
  stamps: hubStampsShape,
});
