// Joining a run by a code: POST /api/join.
//
// The hub lets the device in at its door; a director's device then writes `device.joined` into the
// record, which is what gives it its rights on every other device.

import type { Identity, PositionId } from "../procedure/ids.ts";
import type { Role } from "../record/entry.ts";
import type { DeviceId, RunId } from "../record/ids.ts";

/** Asked by a device that was given a code. */
export type JoinRequest = {
  readonly code: string;
  readonly device: DeviceId;
  readonly deviceName: string;
  /** As in `OpenRequest`. */
  readonly token: string;
};

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
