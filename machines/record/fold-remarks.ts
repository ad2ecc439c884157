// Entries about what somebody saw, read or thought.
//
// [fold-remarks 1] A reading of a recurring check outside its limits is a variance.
// [fold-remarks 2] A sighting is kept as what somebody saw; it does not move the item.

import { addPart } from "../base/rewindable-list.ts";
import type { EntryBody } from "./entry.ts";
import { isWithinLimits } from "./fold-gates.ts";
import { noteVariance } from "./note-variance.ts";
import type { Outcome, RunInFold, Turn } from "./run-in-fold.ts";

type CheckBody = Extract<EntryBody, { readonly kind: "check.recorded" }>;
type RemarkBody = CheckBody | Extract<EntryBody, { readonly kind: "item.sighted" | "note.added" }>;

/** Folds a check, a sighting or a note. */
export function foldRemark(runMutable: RunInFold, turn: Turn, body: RemarkBody): Outcome {
  const { name: by, atMs, entry } = turn;
  const { position } = entry;
  switch (body.kind) {
    case "check.recorded":
      return foldCheck(runMutable, turn, body);
    case "item.sighted":
      addPart(runMutable.lists.sightings, { by, atMs, item: body.item, at: body.at });
      return "applied";
    case "note.added": {
      const { text, step, oddity } = body;
      addPart(runMutable.lists.notes, { by, position, atMs, text, step, oddity });
      return "applied";
    }
  }
}

function foldCheck(runMutable: RunInFold, turn: Turn, body: CheckBody): Outcome {
  const check = runMutable.index.checksById.get(body.check);
  if (check === undefined) {
    noteVariance(runMutable, turn, "out-of-order");
    return "no-effect";
  }
  const { name: by, atMs, entry } = turn;
  const { readings } = body;
  const { position } = entry;
  addPart(runMutable.lists.checks, { by, position, atMs, check: check.id, readings });
  const isOutside = check.readings.some((reading) => {
    const value = Object.hasOwn(readings, reading.id) ? readings[reading.id] : undefined;
    return value !== undefined && !isWithinLimits(value, reading);
  });
  if (isOutside) noteVariance(runMutable, turn, "limit-exceeded");
  return "applied";
}
