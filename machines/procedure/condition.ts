// What must be so before a step may start, or closes a path while it is so.

import type { ArmId, HardwareId, ItemId, PositionId, SiteId } from "./ids.ts";
import type { Place } from "./place.ts";

/** Something that must be so. */
export type Condition =
  | { readonly hardware: HardwareId; readonly state: string }
  | { readonly item: ItemId; readonly at: Place }
  | { readonly arm: ArmId; readonly at: SiteId }
  | { readonly position: PositionId; readonly inRestraint: ItemId };
