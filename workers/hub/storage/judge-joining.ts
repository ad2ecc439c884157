// Who is let in at the hub's door: one judgement for every adapter.
// It keeps [storage 9], [storage 11] and [storage 16].

import type { DeviceId } from "../../../machines/record/ids.ts";
import type { JoinAnswer } from "../../../machines/sync/join.ts";
import type {
  Invitation,
  Joining,
  JoinRefusalCode,
  RunOpening,
  StoredDevice,
} from "./record-storage.ts";

/** What a run was opened with. */
export type OpenedBefore = Pick<RunOpening, "title" | "procedure" | "device" | "tokenDigest">;

/** Whether a run that is there was opened just so. Errors: none. */
export function isSameOpening(before: OpenedBefore, opening: OpenedBefore): boolean {
  return (
    before.device === opening.device &&
    before.tokenDigest === opening.tokenDigest &&
    before.title === opening.title &&
    before.procedure === opening.procedure
  );
}

/** An invitation with its run. */
export type InvitationThere = JoinAnswer &
  Pick<Invitation, "run"> & {
    /** Null: never. */
    readonly expiresAtMs: number | null;
    readonly usedBy: DeviceId | null;
  };

/** A device of the run. `tokenDigest` null: the recovery key, with which nobody has come yet. */
export type DeviceThere = Pick<StoredDevice, "role" | "lane" | "isStruckOff"> & {
  readonly tokenDigest: string | null;
};

/** What is to be done with who shows a code. */
export type JoinJudgement =
  | {
      /** The code is used up by the device. */
      readonly does: "let-in";
      readonly answer: JoinAnswer;
      readonly waitsToBeNamed: boolean;
    }
  | { readonly does: "answer"; readonly answer: JoinAnswer | JoinRefusalCode };

/**
 * Judges a joining by a code that there is.
 *
 * @param there the device if it is in the run, and whose the token is in the run
 * Errors: none.
 */
export function judgeJoining(
  joining: Joining,
  invitation: InvitationThere,
  there: { readonly device: DeviceThere | null; readonly tokenOf: DeviceId | null },
): JoinJudgement {
  const { run, title, procedure, role, lane, expiresAtMs, usedBy } = invitation;
  const answer: JoinAnswer = { run, title, procedure, role, lane };
  if (usedBy !== null && usedBy !== joining.device) return refuse("code-used");
  const { device } = there;
  const comesBack = device !== null && device.isStruckOff && usedBy === null;
  if (device !== null && device.tokenDigest !== null) {
    if (device.tokenDigest !== joining.tokenDigest) return refuse("device-taken");
    const isSame = device.role === role && device.lane === lane;
    if (!comesBack) return isSame ? { does: "answer", answer } : refuse("device-already-in");
  }
  if (expiresAtMs !== null && expiresAtMs <= joining.nowMs) return refuse("code-expired");
  if (there.tokenOf !== null && there.tokenOf !== joining.device) return refuse("device-taken");
  if (device === null || comesBack) return { does: "let-in", answer, waitsToBeNamed: true };
  // The recovery key is a director's by the entry that opened the run; nobody need name it.
  if (role !== "director") return refuse("device-already-in");
  return { does: "let-in", answer, waitsToBeNamed: false };
}

function refuse(code: JoinRefusalCode): JoinJudgement {
  return { does: "answer", answer: code };
}
