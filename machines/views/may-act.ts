// What this device may tap, for the buttons only: the fold judges again by the record's rights.
//
// [may-act 1] A director and a reader act for every lane; crew and support for their own; an
//   observer for none.
// [may-act 2] A readback is confirmed by another position than the lane's own: crew and support with a
//   lane do it as that lane; a director and a reader as their own, else as an inside position.
// [may-act 3] Whatever is offered, the rights of the record allow.

import type { PositionId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Role } from "../record/entry.ts";

/** Who taps: the device's role and the lane that is its own. */
export type Tapper = { readonly role: Role; readonly lane: PositionId | null };

/** Whether this device may tap for the lane. */
export function mayActFor(tapper: Tapper, lane: PositionId): boolean {
  if (tapper.role === "director" || tapper.role === "reader") return true;
  if (tapper.role === "observer") return false;
  return tapper.lane === lane;
}

/**
 * For which position this device confirms a readback of the lane: its own, where it has one and that
 * is another; else the first inside position that is another; else any other. Null: it may not.
 */
export function readbackPosition(
  index: ProcedureIndex,
  tapper: Tapper,
  lane: PositionId,
): PositionId | null {
  if (tapper.role === "observer") return null;
  if (tapper.lane !== null && tapper.lane !== lane) return tapper.lane;
  if (tapper.role !== "director" && tapper.role !== "reader") return null;
  const others = index.procedure.positions.filter((position) => position.id !== lane);
  const inside = others.find((position) => position.sort === "inside");
  return (inside ?? others[0])?.id ?? null;
}
