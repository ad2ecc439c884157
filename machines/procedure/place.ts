// Where an item is.

import type { ItemId, PositionId, SiteId } from "./ids.ts";

/** Where an item is. */
export type Place =
  | { readonly site: SiteId }
  | { readonly item: ItemId }
  | { readonly position: PositionId };
