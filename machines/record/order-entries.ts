// Order of entries.
//
// Definition: a *covers* b when a's device had seen b, or a follows b on one device.
// Definition: the *effective time* of an entry is the latest of its claim (settle-claims.ts) and the
//   effective times of all that it covers.
// [order 1] Every entry of the set is in the result once: in order, or set aside with the reason.
// [order 2] If a covers b, b comes first; an entry that was seen but is not in the set is no bar.
// [order 3] The order depends on the set alone: not on arrival, repetition or grouping.
// [order 4] Effective times never fall along the order; among equal ones the device decides.
// [order 5] Of two different entries with one name (a fork), the one whose text is less is kept;
//   the stand-in for a withheld entry gives way to the entry itself.
// [order 6] What comes after a gap in its device's seqs is set aside until the gap fills.
// [order 7] An effective time's error is its claim's, and as much more as it is later than that.
// [order 8] Claims to have seen each other's later entries, which only a lying device makes, would bar
//   each other for ever. Then one claim of those is overlooked (overlook-claim.ts), so that [order 1]
//   holds, and what others had seen of each other still comes first.

import type { Entry } from "./entry.ts";
import { addToOrder, emptyOrder, setAsideOf } from "./running-order.ts";

/** An entry with its effective time, milliseconds since 1970 on the hub's clock. */
export type OrderedEntry = {
  readonly entry: Entry;
  readonly atMs: number;
  /** How far off the time may be; null: the device's clock was never checked against the hub's. */
  readonly errorMs: number | null;
};

/** An entry that has no place in the order, and why. */
export type SetAsideEntry = { readonly entry: Entry; readonly because: "gap" | "fork" };

/** A set of entries in order. */
export type OrderedEntries = {
  readonly ordered: readonly OrderedEntry[];
  /** By device, seq and text. */
  readonly setAside: readonly SetAsideEntry[];
};

/**
 * Orders the entries of one run.
 *
 * Errors: none.
 */
export function orderEntries(entries: Iterable<Entry>): OrderedEntries {
  const order = emptyOrder();
  addToOrder(order, entries);
  return { ordered: order.ordered, setAside: setAsideOf(order) };
}
