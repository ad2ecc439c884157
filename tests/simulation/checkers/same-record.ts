// All replicas hold the same entries and show the same state, byte for byte; the hub lists the same.

import { canonicalJson } from "../../../machines/base/canonical-json.ts";
import type { Entry } from "../../../machines/record/entry.ts";
import { foldRun } from "../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../machines/record/order-entries.ts";
import type { Leftovers } from "./leftovers.ts";

/** Where replicas differ. */
export function checkSameRecord(left: Leftovers): readonly string[] {
  const faults: string[] = [];
  // Who was struck off hears nothing any more.
  const [first, ...others] = left.devices.filter(({ isOut }) => !isOut);
  if (first === undefined || first.entries.length === 0)
    return ["there is a record: there is none"];
  const stateOf = (entries: readonly Entry[]) =>
    canonicalJson(foldRun(left.index, orderEntries(entries).ordered));
  const record = recordOf(left, first.entries);
  let state: string | null = null;
  for (const { name, entries } of others) {
    // The same set in the same order shows the same state; the order is checked by shuffling it.
    if (recordOf(left, entries) === record) continue;
    const counts = `${name} ${entries.length}, ${first.name} ${first.entries.length}`;
    faults.push(`all replicas hold the same entries: ${counts}`);
    state ??= stateOf(first.entries);
    if (stateOf(entries) !== state) {
      faults.push(`all replicas show the same state: ${name} shows another than ${first.name}`);
    }
  }
  if (recordOf(left, left.atHub) !== record) {
    faults.push(`the hub lists what the replicas hold: it has ${left.atHub.length}`);
  }
  return faults;
}

function recordOf({ textOf }: Leftovers, entries: readonly Entry[]): string {
  return [...new Set(entries.map(textOf))].sort().join("\n");
}
