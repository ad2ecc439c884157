// Inviting a device: POST /api/runs/:run/invitations, by a director's device.

import type { PositionId } from "../procedure/ids.ts";
import type { Role } from "../record/entry.ts";

/** For which role and lane the code shall be. `lane` null for director, reader without a lane, observer. */
export type InviteRequest = { readonly role: Role; readonly lane: PositionId | null };

/** A code that lets one device in, once. */
export type InviteAnswer = {
  /** Eight letters of the alphabet BCDFGHJKLMNPQRSTVWXZ, shown as "BCDF-GHJK"; case and hyphen do not matter. */
  readonly code: string;
  /** Hub's clock, milliseconds since 1970. */
  readonly expiresAtMs: number;
};
