// Joining a run by a code: POST /api/join.
//
// The hub lets the device in at its door; a director's device then writes `device.joined` into the
// record, which is what gives it its rights on every other device.
// The device shows its key and signs, so that nobody joins under another device's id.
// Repeating it by the same device with the same token gives the same answer, used code or not.

import { canonicalJson } from "../base/canonical-json.ts";
import type { Identity, PositionId } from "../procedure/ids.ts";
import { matching, object, readShape } from "../procedure/read-shape.ts";
import type { ShapeReading } from "../procedure/read-shape.ts";
import type { Role } from "../record/entry.ts";
import type { DeviceId, PublicKeyText, RunId } from "../record/ids.ts";
import { publicKeyShape, signatureShape } from "./signed-head.ts";
import {
  deviceIdShape,
  identityShape,
  laneShape,
  roleShape,
  runIdShape,
  titleShape,
  tokenShape,
} from "./wire-shapes.ts";

/** Asked by a device that was given a code. */
export type JoinRequest = {
  readonly code: string;
  readonly device: DeviceId;
  readonly deviceName: string;
  /** As in `OpenRequest`. */
  readonly token: string;
  readonly key: PublicKeyText;
  /** The device's signature over `joiningText`. */
  readonly proof: string;
};

/** The text that a joining device signs. Errors: none. */
export function joiningText({ code, device, token }: JoiningSigned): string {
  return canonicalJson({ signs: "lanehold joining", code, device, token });
}

type JoiningSigned = Pick<JoinRequest, "code" | "device" | "token">;

/** What the device has joined. */
export type JoinAnswer = {
  readonly run: RunId;
  readonly title: string;
  readonly procedure: Identity;
  readonly role: Role;
  readonly lane: PositionId | null;
};

/** A device that was let in by a code and that no `device.joined` in the record names yet. */
export type Admission = {
  readonly device: DeviceId;
  readonly deviceName: string;
  readonly role: Role;
  readonly lane: PositionId | null;
};

/** Reads a `JoinRequest`; the code as it was typed. Errors: none; faults are data. */
export function readJoinRequest(value: unknown): ShapeReading<JoinRequest> {
  return readShape(joinRequestShape, value);
}

/** Reads a `JoinAnswer`. Errors: none; faults are data. */
export function readJoinAnswer(value: unknown): ShapeReading<JoinAnswer> {
  return readShape(joinAnswerShape, value);
}

// What the device signs has a canonical form, which no half of a character has.
const typedCodeShape = matching<string>(/^[^\p{Surrogate}]{1,80}$/u, "a code of eight letters");

const joinRequestShape = object({
  code: typedCodeShape,
  device: deviceIdShape,
  deviceName: titleShape,
  token: tokenShape,
  key: publicKeyShape,
  proof: signatureShape,
});

const joinAnswerShape = object({
  run: runIdShape,
  title: titleShape,
  procedure: identityShape,
  role: roleShape,
  lane: laneShape,
});

/** The shape of an `Admission`. */
export const admissionShape = object({
  device: deviceIdShape,
  deviceName: titleShape,
  role: roleShape,
  lane: laneShape,
});
