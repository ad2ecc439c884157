// The parts of a procedure document that are sound in shape, each with its place.
//
// Definition: a part is *sound* if no fault of shape lies in it.
// [document-parts 1] References and orders are checked on sound parts alone, so that one wrong
//   member does not hide the faults of the rest, nor bring false ones.
// [document-parts 2] An id counts as there if any part of its list has it, sound or not, or if what
//   stands for its list is none.

import type { Fault } from "./fault.ts";
import type { Limits, Procedure } from "./procedure.ts";
import { isObject } from "./read-shape.ts";

/** The lists of a procedure whose parts have ids. */
export const partLists = [
  "positions",
  "sites",
  "paths",
  "items",
  "tethers",
  "arms",
  "hardware",
  "meets",
  "tasks",
  "steps",
  "clocks",
  "windows",
  "recurringChecks",
  "briefing",
] as const;

/** The name of such a list. */
export type PartList = (typeof partLists)[number];

/** A sound part and its JSON Pointer. */
export type Located<Part> = { readonly part: Part; readonly path: string };

/** Sound parts by list, and every id that is there. */
export type DocumentParts = {
  readonly sound: {
    readonly [List in PartList]: readonly Located<Procedure[List][number]>[];
  };
  readonly byId: {
    readonly [List in PartList]: ReadonlyMap<string, Procedure[List][number]>;
  };
  /** Null for a list that is none; nothing can be told of ids in it. */
  readonly ids: Readonly<Record<PartList, ReadonlySet<string> | null>>;
  /** Null if a fault of shape lies in it. */
  readonly limits: Limits | null;
};

/**
 * Finds the sound parts of a document.
 *
 * @param shapeFaults every fault of shape that the document has
 * Errors: none.
 */
export function findDocumentParts(
  document: Readonly<Record<string, unknown>>,
  shapeFaults: readonly Fault[],
): DocumentParts {
  const unsound = new Set(shapeFaults.flatMap((fault) => partPaths(fault.path)));
  const lists = partLists.map((list) => [list, rawParts(document[list])] as const);
  const sound = lists.map(([list, parts]) => [list, soundParts(list, parts, unsound)] as const);
  return {
    // Sound parts have the shape that the list's type says; see [document-parts 1].
    sound: Object.fromEntries(sound) as unknown as DocumentParts["sound"],
    byId: Object.fromEntries(
      sound.map(([list, parts]) => [list, new Map(parts.map(({ part }) => [part.id, part]))]),
    ) as unknown as DocumentParts["byId"],
    ids: Object.fromEntries(
      partLists.map((list) => [list, idsOf(document[list])]),
    ) as unknown as DocumentParts["ids"],
    limits: unsound.has("/limits") ? null : ((document["limits"] ?? null) as Limits | null),
  };
}

function idsOf(list: unknown): ReadonlySet<string> | null {
  return Array.isArray(list) ? new Set(list.map(idOf)) : null;
}

/** The id of a raw part; "" if it has none, which is no id. */
export function idOf(part: unknown): string {
  const id = isObject(part) ? part["id"] : undefined;
  return typeof id === "string" ? id : "";
}

/** The parts of a list as they stand in the document; none if it is no list. */
export function rawParts(list: unknown): readonly unknown[] {
  return Array.isArray(list) ? list : [];
}

// The member and the part that a fault lies in: "/steps" and "/steps/3" for "/steps/3/text".
function partPaths(path: string): string[] {
  const [, member = "", part] = path.split("/");
  return part === undefined ? [`/${member}`] : [`/${member}`, `/${member}/${part}`];
}

function soundParts(
  list: PartList,
  parts: readonly unknown[],
  unsound: ReadonlySet<string>,
): Located<{ readonly id: string }>[] {
  const located = parts.map((part, index) => ({
    part: part as { readonly id: string },
    path: `/${list}/${index}`,
  }));
  return located.filter(({ path }) => !unsound.has(path));
}
