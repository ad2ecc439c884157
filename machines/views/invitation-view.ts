// An invitation that is out: how long it is good for, and whether a device has come in by it.
//
// [invitation 1] It is used as soon as a device is let in, or let in anew, with its role and lane.
// [invitation 2] One that was used does not lapse any more.

import type { PositionId } from "../procedure/ids.ts";
import type { Role } from "../record/entry.ts";
import type { DeviceId } from "../record/ids.ts";
import type { DeviceInRun, RunState } from "../record/run-state.ts";

/** An invitation as it was made. */
export type Invitation = {
  readonly role: Role;
  readonly lane: PositionId | null;
  /** Hub's clock, milliseconds since 1970. */
  readonly expiresAtMs: number;
  /** The devices that were in the run when it was made. */
  readonly before: RunState["devices"];
};

/** How an invitation stands. */
export type InvitationStand =
  | { readonly is: "open"; readonly secondsLeft: number }
  | { readonly is: "used"; readonly device: DeviceId; readonly name: string }
  | { readonly is: "lapsed" };

/** How an invitation stands. `nowMs`: hub's clock, milliseconds since 1970. */
export function invitationStand(
  { role, lane, expiresAtMs, before }: Invitation,
  devices: RunState["devices"],
  nowMs: number,
): InvitationStand {
  const entries = Object.entries(devices) as [DeviceId, DeviceInRun][];
  const used = entries.find(
    ([device, inRun]) =>
      inRun.role === role &&
      inRun.lane === lane &&
      inRun.struckOffAtMs === null &&
      before[device]?.joinedAtMs !== inRun.joinedAtMs,
  );
  if (used !== undefined) return { is: "used", device: used[0], name: used[1].name };
  const secondsLeft = Math.ceil((expiresAtMs - nowMs) / 1000);
  return secondsLeft > 0 ? { is: "open", secondsLeft } : { is: "lapsed" };
}
