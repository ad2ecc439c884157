// Every property that a simulation must leave true.

import { checkAcknowledged } from "./acknowledged.ts";
import { checkChains } from "./chains.ts";
import { checkGatesAndHolds } from "./gates-and-holds.ts";
import type { Leftovers } from "./leftovers.ts";
import { checkOrder } from "./order.ts";
import { checkRights } from "./rights.ts";
import { checkSameRecord } from "./same-record.ts";

/** What must not be; empty if all is well. */
export function checkAll(left: Leftovers): readonly string[] {
  return [
    ...checkSameRecord(left),
    ...checkAcknowledged(left),
    ...checkChains(left),
    ...checkOrder(left),
    ...checkGatesAndHolds(left),
    ...checkRights(left),
  ];
}
