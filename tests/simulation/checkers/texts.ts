// Canonical texts of entries, each computed once for the replicas that hold the same.

import { entryText } from "../../../machines/record/digest-entry.ts";
import type { Entry } from "../../../machines/record/entry.ts";

/** Gives the canonical text of an entry; remembers those that it gave. */
export function createTexts(): (entry: Entry) => string {
  const textsByJson = new Map<string, string>();
  return (entry) => {
    const json = JSON.stringify(entry);
    const known = textsByJson.get(json);
    if (known !== undefined) return known;
    const text = entryText(entry);
    textsByJson.set(json, text);
    return text;
  };
}
