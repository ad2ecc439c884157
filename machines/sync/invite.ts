// Inviting a device: POST /api/runs/:run/invitations, by a director's device.

import type { PositionId } from "../procedure/ids.ts";
import { number, object, readShape } from "../procedure/read-shape.ts";
import type { ShapeReading } from "../procedure/read-shape.ts";
import type { Role } from "../record/entry.ts";
import { joinCodeShape } from "./join-code.ts";
import { laneShape, roleShape } from "./wire-shapes.ts";

/** For which role and lane the code shall be. `lane` null for director, reader without a lane, observer. */
export type InviteRequest = { readonly role: Role; readonly lane: PositionId | null };

/** A code that lets one device in, once. */
export type InviteAnswer = {
  /** Eight letters of the alphabet BCDFGHJKLMNPQRSTVWXZ, shown as "BCDF-GHJK"; case and hyphen do not matter. */
  readonly code: string;
  /** Hub's clock, milliseconds since 1970. */
  readonly expiresAtMs: number;
};

/** Reads an `InviteRequest`. Errors: none; faults are data. */
export function readInviteRequest(value: unknown): ShapeReading<InviteRequest> {
  return readShape(inviteRequestShape, value);
}

/** Reads an `InviteAnswer`. Errors: none; faults are data. */
export function readInviteAnswer(value: unknown): ShapeReading<InviteAnswer> {
  return readShape(inviteAnswerShape, value);
}

const inviteRequestShape = object({ role: roleShape, lane: laneShape });

const inviteAnswerShape = object({ code: joinCodeShape, expiresAtMs: number() });
