// The record as JSON: the entries as they are, and the state that they fold to.

import { canonicalJson } from "../base/canonical-json.ts";
import type { Entry } from "../record/entry.ts";
import type { RunId } from "../record/ids.ts";
import type { RunState } from "../record/run-state.ts";

/** The format's name, first thing that a reader of such a file checks. */
const recordFormat = "lanehold.record";
/** The version of the format that this code writes. */
const recordFormatVersion = 1;

/**
 * The JSON text of a run: canonical (RFC 8785), so that two devices with the same entries write the
 * same bytes. Entries stand in the order of the state's log; an entry that is not in it comes last.
 *
 * Errors: an assertion if an entry holds what JSON cannot carry, which the reader of entries refuses.
 */
export function recordJson(run: RunId, entries: readonly Entry[], state: RunState): string {
  const places = new Map(
    state.log.map((line, place) => [`${line.by.device}:${line.by.seq}`, place] as const),
  );
  const placeOf = (entry: Entry) =>
    places.get(`${entry.device}:${entry.seq}`) ?? Number.MAX_SAFE_INTEGER;
  return canonicalJson({
    format: recordFormat,
    formatVersion: recordFormatVersion,
    run,
    entries: entries.toSorted((a, b) => placeOf(a) - placeOf(b) || compareNames(a, b)),
    state,
  });
}

function compareNames(a: Entry, b: Entry): number {
  if (a.device !== b.device) return a.device < b.device ? -1 : 1;
  return a.seq - b.seq;
}
