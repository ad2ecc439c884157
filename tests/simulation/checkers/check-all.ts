// Every property that a simulation must leave true.

import { checkAcknowledged } from "./acknowledged.ts";
import { checkChains } from "./chains.ts";
import { checkEvidence } from "./evidence.ts";
import { checkGatesAndHolds } from "./gates-and-holds.ts";
import type { Leftovers } from "./leftovers.ts";
import { checkNews } from "./news.ts";
import { checkOrder } from "./order.ts";
import { checkRights } from "./rights.ts";
import { checkSameRecord } from "./same-record.ts";
import { checkTrueTime } from "./true-time.ts";

/** What must not be; empty if all is well. */
export function checkAll(left: Leftovers): readonly string[] {
  return [
    ...checkSameRecord(left),
    ...checkAcknowledged(left),
    ...checkChains(left),
    ...checkEvidence(left),
    ...checkNews(left),
    ...checkOrder(left),
    ...checkTrueTime(left),
    ...checkGatesAndHolds(left),
    ...checkRights(left),
  ];
}
