// Nothing beyond a role is applied: what is beyond it is set aside in the log, and the run comes to
// the same as if it had not been written.

import { canonicalJson } from "../../../machines/base/canonical-json.ts";
import { foldRun } from "../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../machines/record/order-entries.ts";
import type { OrderedEntry } from "../../../machines/record/order-entries.ts";
import type { Leftovers } from "./leftovers.ts";
import { isWithinRights } from "./reference-rights.ts";

/** What was applied and should not have been, or the reverse. */
export function checkRights(left: Leftovers): readonly string[] {
  const faults: string[] = [];
  const { ordered } = orderEntries(left.devices[0]?.entries ?? []);
  const { log } = foldRun(left.index, ordered);
  for (const [place, { entry }] of ordered.entries()) {
    const line = log[place];
    const isAside = line?.outcome === "set-aside";
    const says = `${entry.device}:${entry.seq} ${entry.body.kind} is ${line?.outcome}`;
    const isAllowed = isWithinRights(left, entry);
    if (!isAllowed && !isAside) faults.push(`nothing beyond a role is applied: ${says}`);
    // Who acknowledged a warning may not confirm its read-back, whatever the role.
    const mayBeAside = !isAllowed || entry.body.kind === "gate.readback-confirmed";
    if (isAside && !mayBeAside) faults.push(`what is within a role is not set aside: ${says}`);
  }
  const harmless = ordered.map((at): OrderedEntry => {
    if (isWithinRights(left, at.entry)) return at;
    const body = { kind: "clock.sampled", offsetMs: 0, roundTripMs: 0 } as const;
    return { ...at, entry: { ...at.entry, position: null, body } };
  });
  if (outcome(left, ordered) !== outcome(left, harmless)) {
    faults.push(
      "what is beyond a role changes nothing: the run comes to something else without it",
    );
  }
  return faults;
}

function outcome({ index }: Leftovers, ordered: readonly OrderedEntry[]): string {
  const { log, variances, ...rest } = foldRun(index, ordered);
  const within = variances.filter(({ cause }) => cause !== "beyond-rights");
  return canonicalJson({ ...rest, within, entries: log.length });
}
