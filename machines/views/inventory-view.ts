// Items and where they are, as the record has them.
//
// [inventory 1] Every item of the procedure is there once, under the site or person that holds it
//   in the end; the way there is told from the inside out.
// [inventory 2] A later sighting at another place does not move an item: both are shown.

import type { ItemId } from "../procedure/ids.ts";
import type { Place } from "../procedure/place.ts";
import type { ItemSort } from "../procedure/procedure.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { RunState, Sighting } from "../record/run-state.ts";
import { placeWords } from "./words.ts";

/** One item. */
export type InventoryLine = {
  readonly item: ItemId;
  readonly name: string;
  readonly sort: ItemSort;
  /** "in Tool bag, with EV1". */
  readonly where: string;
  /** It is not where it started, or what holds it is not. */
  readonly isMoved: boolean;
  /** It is in a place where it may be at the end. */
  readonly isAtItsEnd: boolean;
  /** Where else it was last seen; null: not seen, or seen where it is. */
  readonly sighting: { readonly where: string; readonly atMs: number } | null;
};

/** Every item, in the procedure's order. */
export function inventoryView(index: ProcedureIndex, state: RunState): readonly InventoryLine[] {
  const placeNow = (item: ItemId) =>
    state.items[item] ?? index.itemsById.get(item)?.startsAt ?? null;
  const placeAtStart = (item: ItemId) => index.itemsById.get(item)?.startsAt ?? null;
  return index.procedure.items.map((item) => {
    const way = wayOut(placeNow, item.id);
    const start = wayOut(placeAtStart, item.id);
    const last = state.sightings.findLast((sighting) => sighting.item === item.id);
    return {
      item: item.id,
      name: item.name,
      sort: item.sort,
      where: way.map((place) => placeWords(index, place)).join(", "),
      isMoved: !sameWay(way, start),
      isAtItsEnd: item.mustEndAt.some((place) => way[0] !== undefined && samePlace(place, way[0])),
      sighting: otherSighting(index, last, way[0]),
    };
  });
}

// What holds the item, what holds that, and so on; cut where a damaged record goes in a circle.
function wayOut(placeOf: (item: ItemId) => Place | null, first: ItemId): readonly Place[] {
  const way: Place[] = [];
  const walked = new Set<ItemId>([first]);
  let place = placeOf(first);
  while (place !== null) {
    way.push(place);
    if (!("item" in place) || walked.has(place.item)) return way;
    walked.add(place.item);
    place = placeOf(place.item);
  }
  return way;
}

function otherSighting(
  index: ProcedureIndex,
  last: Sighting | undefined,
  place: Place | undefined,
): InventoryLine["sighting"] {
  if (last === undefined || (place !== undefined && samePlace(last.at, place))) return null;
  return { where: placeWords(index, last.at), atMs: last.atMs };
}

function sameWay(a: readonly Place[], b: readonly Place[]): boolean {
  return (
    a.length === b.length &&
    a.every((place, at) => {
      const other = b[at];
      return other !== undefined && samePlace(place, other);
    })
  );
}

function samePlace(a: Place, b: Place): boolean {
  if ("site" in a) return "site" in b && a.site === b.site;
  if ("item" in a) return "item" in b && a.item === b.item;
  return "position" in b && a.position === b.position;
}
