// What was set aside, as a file to take away: whole, and with the words of the screen beside it.
//
// [set-aside-json 1] Every entry that this device has set aside, or that the record's rules have, is in it
//   as it came.

import { canonicalJson } from "../base/canonical-json.ts";
import type { Entry } from "../record/entry.ts";
import type { RunId } from "../record/ids.ts";
import { setAsideLines } from "./set-aside-view.ts";
import type { SetAsideGround } from "./set-aside-view.ts";

/** The format's name, first thing that a reader of such a file checks. */
const setAsideFormat = "lanehold.set-aside";
/** The version of the format that this code writes. */
const setAsideFormatVersion = 1;

/**
 * The JSON text of what was set aside in a run: canonical (RFC 8785).
 *
 * @param entries the run's entries, in any order
 * Errors: an assertion if an entry holds what JSON cannot carry, which the reader of entries refuses.
 */
export function setAsideJson(
  run: RunId,
  ground: SetAsideGround,
  entries: readonly Entry[],
): string {
  const names = new Set(
    ground.state.log
      .filter((line) => line.outcome === "set-aside")
      .map(({ by }) => `${by.device}:${by.seq}`),
  );
  return canonicalJson({
    format: setAsideFormat,
    formatVersion: setAsideFormatVersion,
    run,
    inWords: setAsideLines(ground),
    byThisDevice: ground.here.map(({ digest, reason, entry }) => ({ digest, reason, entry })),
    byHub: ground.atHub,
    byRecord: entries.filter(({ device, seq }) => names.has(`${device}:${seq}`)),
  });
}
