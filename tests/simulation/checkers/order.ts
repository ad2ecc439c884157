// The order holds every entry once, never puts one before what its device had seen, and does not
// depend on how the entries came.

import { createSeededRandom } from "../../../machines/base/seeded-random.ts";
import type { Entry } from "../../../machines/record/entry.ts";
import { orderEntries } from "../../../machines/record/order-entries.ts";
import type { Leftovers } from "./leftovers.ts";

/** What is wrong with the order. */
export function checkOrder({ seed, devices, liar }: Leftovers): readonly string[] {
  const entries = devices[0]?.entries ?? [];
  const ordered = orderEntries(entries).ordered.map(({ entry }) => entry);
  const faults: string[] = [];
  const random = createSeededRandom(seed);
  const shuffled = entries
    .map((entry) => ({ entry, key: random.nextUint32() }))
    .toSorted((a, b) => a.key - b.key)
    .map(({ entry }) => entry);
  const again = orderEntries(shuffled).ordered.map(({ entry }) => entry);
  if (names(again) !== names(ordered)) faults.push("the order depends on the set alone");
  if (names(ordered.toSorted(byName)) !== names(entries.toSorted(byName))) {
    faults.push("the order holds every entry once");
  }
  const places = new Map(ordered.map((entry, place) => [`${entry.device}:${entry.seq}`, place]));
  for (const [place, entry] of ordered.entries()) {
    // A liar claims to have seen what came later, or was never written.
    if (entry.device === liar) continue;
    const before = [...Object.entries(entry.seen), [entry.device, entry.seq - 1] as const];
    const late = before.filter(
      ([device, seq]) => device !== liar && (places.get(`${device}:${seq}`) ?? -1) > place,
    );
    if (late.length > 0) faults.push(`what was seen comes first: ${entry.device}:${entry.seq}`);
  }
  return faults;
}

function names(entries: readonly Entry[]): string {
  return entries.map(({ device, seq }) => `${device}:${seq}`).join(" ");
}

function byName(a: Entry, b: Entry): number {
  return a.device === b.device ? a.seq - b.seq : a.device < b.device ? -1 : 1;
}
