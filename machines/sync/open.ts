// Opening a run at the hub: POST /api/runs. Repeating it changes nothing.

import type { Identity } from "../procedure/ids.ts";
import { object, readShape } from "../procedure/read-shape.ts";
import type { ShapeReading } from "../procedure/read-shape.ts";
import type { DeviceId, RunId } from "../record/ids.ts";
import { deviceIdShape, identityShape, runIdShape, titleShape, tokenShape } from "./wire-shapes.ts";

/** Asked by the device that opened the run; it becomes the run's first director. */
export type OpenRequest = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly deviceName: string;
  /** Secret that this device shows from now on as its bearer token for this run; 43 base64url characters. */
  readonly token: string;
  readonly title: string;
  /** Must be at the hub already: PUT /api/procedures/:identity. */
  readonly procedure: Identity;
};

/** The run is at the hub. */
export type OpenAnswer = { readonly run: RunId };

/** Reads an `OpenRequest`. Errors: none; faults are data. */
export function readOpenRequest(value: unknown): ShapeReading<OpenRequest> {
  return readShape(openRequestShape, value);
}

/** Reads an `OpenAnswer`. Errors: none; faults are data. */
export function readOpenAnswer(value: unknown): ShapeReading<OpenAnswer> {
  return readShape(openAnswerShape, value);
}

const openRequestShape = object({
  run: runIdShape,
  device: deviceIdShape,
  deviceName: titleShape,
  token: tokenShape,
  title: titleShape,
  procedure: identityShape,
});

const openAnswerShape = object({ run: runIdShape });
