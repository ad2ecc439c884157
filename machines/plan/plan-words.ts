// Names of things, as the findings say them.

import type { Place } from "../procedure/place.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { PositionId, SiteId, StepId } from "../procedure/ids.ts";

const shownCharacters = 44;

/** A step as one speaks of it: EV1's “Open the blanket” (ev1-open-blanket). Errors: none. */
export function stepWords(index: ProcedureIndex, id: StepId): string {
  const step = index.stepsById.get(id);
  if (step === undefined) return id;
  const sentence = step.text.split(/(?<=[.!?;:])\s/)[0] ?? step.text;
  const text = sentence.replace(/[.;:]$/, "");
  const shown = text.length > shownCharacters ? `${text.slice(0, shownCharacters - 1)}…` : text;
  return `${positionWords(index, step.lane)}'s “${shown}” (${id})`;
}

/** A position's name. Errors: none. */
export function positionWords(index: ProcedureIndex, id: PositionId): string {
  return index.positionsById.get(id)?.name ?? id;
}

/** A site's name; "no site" for those who are at none. Errors: none. */
export function siteWords(index: ProcedureIndex, id: SiteId | null): string {
  return id === null ? "no site" : (index.sitesById.get(id)?.name ?? id);
}

/** A place: "at Bay 7", "in Valve bag", "with EV1". Errors: none. */
export function placeWords(index: ProcedureIndex, place: Place): string {
  if ("site" in place) return `at ${siteWords(index, place.site)}`;
  if ("item" in place) return `in ${index.itemsById.get(place.item)?.name ?? place.item}`;
  return `with ${positionWords(index, place.position)}`;
}

/** Names in a row: "a", "a and b", "a, b and c". Errors: none. */
export function listWords(names: readonly string[]): string {
  if (names.length < 2) return names[0] ?? "";
  return `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}
