// Ids of the things that a procedure names.
// The one place where a plain string becomes such an id is the reader of procedures.

import type { Branded } from "../base/branded.ts";

/** Names a position: "ev1". A lane carries the id of its position. */
export type PositionId = Branded<"PositionId">;
/** Names a site: "bay-7". */
export type SiteId = Branded<"SiteId">;
/** Names a path between two sites. */
export type PathId = Branded<"PathId">;
/** Names an item: a bag, a tool, a foot restraint, a cap. */
export type ItemId = Branded<"ItemId">;
/** Names a tether. */
export type TetherId = Branded<"TetherId">;
/** Names an arm. */
export type ArmId = Branded<"ArmId">;
/** Names a piece of fixed hardware whose state matters: an inhibit, a cover, a connector. */
export type HardwareId = Branded<"HardwareId">;
/** Names a task. */
export type TaskId = Branded<"TaskId">;
/** Names a step. */
export type StepId = Branded<"StepId">;
/** Names a gate; unique within its step. */
export type GateId = Branded<"GateId">;
/** Names a meet. */
export type MeetId = Branded<"MeetId">;
/** Names a clock. */
export type ClockId = Branded<"ClockId">;
/** Names a window. */
export type WindowId = Branded<"WindowId">;
/** Names a recurring check. */
export type CheckId = Branded<"CheckId">;
/** Names a reading within a recurring check. */
export type ReadingId = Branded<"ReadingId">;
/** Names one answer of a contingency choice. */
export type BranchId = Branded<"BranchId">;
/** Names an inject of an inject script. */
export type InjectId = Branded<"InjectId">;
/** SHA-256 of a document's RFC 8785 canonical form, 64 lower-case hexadecimal digits. */
export type Identity = Branded<"Identity">;
