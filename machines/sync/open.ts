// Opening a run at the hub: POST /api/runs. Repeating it changes nothing.
//
// [open 1] Only the device that the run's id names can open it: it shows its key and signs.

import type { Identity } from "../procedure/ids.ts";
import { canonicalJson } from "../base/canonical-json.ts";
import { nullable, object, readShape } from "../procedure/read-shape.ts";
import type { ShapeReading } from "../procedure/read-shape.ts";
import type { DeviceId, PublicKeyText, RunId } from "../record/ids.ts";
import { publicKeyShape, signatureShape } from "./signed-head.ts";
import {
  deviceIdShape,
  digestShape,
  identityShape,
  runIdShape,
  titleShape,
  tokenShape,
} from "./wire-shapes.ts";

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
  /** The spare director's key and what opens the hub's door to its holder; null: none was made. */
  readonly recovery: RecoveryDoor | null;
  readonly key: PublicKeyText;
  /** The device's signature over `openingText`. */
  readonly proof: string;
};

/** How the holder of a recovery code gets in. */
export type RecoveryDoor = {
  readonly device: DeviceId;
  /** SHA-256 of the code that `recoveryDoorCode` makes of the recovery code: 64 hexadecimal digits. */
  readonly codeDigest: string;
};

/** The text that the opener signs. Errors: none. */
export function openingText({ run, device, token, procedure, recovery }: OpeningSigned): string {
  return canonicalJson({ signs: "lanehold opening", run, device, token, procedure, recovery });
}

type OpeningSigned = Pick<OpenRequest, "run" | "device" | "token" | "procedure" | "recovery">;

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
  recovery: nullable(object({ device: deviceIdShape, codeDigest: digestShape })),
  key: publicKeyShape,
  proof: signatureShape,
});

const openAnswerShape = object({ run: runIdShape });
