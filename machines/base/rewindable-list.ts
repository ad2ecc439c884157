// A list that mostly grows at its end, and can be wound back to what it was at a mark.
//
// A mark costs two numbers, not a copy; what was taken out or replaced since then is remembered.
// [rewindable-list 1] After `rewind` the list holds what it held at the mark.
// [rewindable-list 2] A snapshot is never changed by what becomes of the list afterwards.

import { assert } from "./assert.ts";

/** The list. Its parts are read here, and changed by the functions below only. */
export type RewindableList<Part> = {
  readonly parts: Part[];
  /** What was done besides adding, oldest first. */
  readonly edits: Edit<Part>[];
  /** The last snapshot; null once the list has changed. */
  snapshot: readonly Part[] | null;
};

type Edit<Part> = { readonly place: number; readonly before: Part; readonly isTakenOut: boolean };

/** A moment in a list's life; good until the list is wound back to an earlier one. */
export type ListMark = { readonly length: number; readonly edits: number };

/** An empty list. */
export function emptyList<Part>(): RewindableList<Part> {
  return { parts: [], edits: [], snapshot: null };
}

/** Adds a part at the end. */
export function addPart<Part>(listMutable: RewindableList<Part>, part: Part): void {
  listMutable.parts.push(part);
  listMutable.snapshot = null;
}

/** Replaces the part at a place. */
export function replacePart<Part>(
  listMutable: RewindableList<Part>,
  place: number,
  part: Part,
): void {
  assert(place >= 0 && place < listMutable.parts.length, "a part to replace is in the list");
  const before = listMutable.parts[place] as Part;
  listMutable.edits.push({ place, before, isTakenOut: false });
  listMutable.parts[place] = part;
  listMutable.snapshot = null;
}

/** Takes out the part at a place; those after it move up. */
export function takeOutPart<Part>(listMutable: RewindableList<Part>, place: number): void {
  assert(place >= 0 && place < listMutable.parts.length, "a part to take out is in the list");
  const [before] = listMutable.parts.splice(place, 1) as [Part];
  listMutable.edits.push({ place, before, isTakenOut: true });
  listMutable.snapshot = null;
}

/** A mark of the list as it is now. */
export function markList(list: RewindableList<unknown>): ListMark {
  return { length: list.parts.length, edits: list.edits.length };
}

/** Winds the list back to a mark; time linear in what was done since. */
export function rewind<Part>(listMutable: RewindableList<Part>, mark: ListMark): void {
  const { parts, edits } = listMutable;
  assert(mark.edits <= edits.length, "a list is wound back, not forward");
  while (edits.length > mark.edits) {
    const { place, before, isTakenOut } = edits.pop() as Edit<Part>;
    if (isTakenOut) parts.splice(place, 0, before);
    else parts[place] = before;
  }
  assert(mark.length <= parts.length, "what a list held at a mark is still in it");
  parts.length = mark.length;
  listMutable.snapshot = null;
}

/** The parts as they are now, as an array that stays so; the same one while nothing changes. */
export function snapshotOf<Part>(listMutable: RewindableList<Part>): readonly Part[] {
  listMutable.snapshot ??= listMutable.parts.slice();
  return listMutable.snapshot;
}
