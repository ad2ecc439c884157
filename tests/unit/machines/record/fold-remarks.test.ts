// Sightings: what somebody saw is kept beside where the record has the item.

import { expect, test } from "vitest";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { ItemId, SiteId } from "../../../../machines/procedure/ids.ts";
import { foldRun } from "../../../../machines/record/fold-run.ts";
import { orderEntries } from "../../../../machines/record/order-entries.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aRecord } from "../../../support/a-record.ts";

const index = indexProcedure(aProcedure());

test("[fold-remarks 2] a sighting is kept, with who saw it and when, and moves nothing", () => {
  const record = aRecord();
  const fold = () => foldRun(index, orderEntries(record.entries).ordered);
  const before = fold();
  const item = "bracket" as ItemId;
  const at = { site: "shelf" as SiteId };
  expect(before.items[item]).toEqual({ item: "tool-bag" });
  const by = record.tap("reader", { kind: "item.sighted", item, at });
  const state = fold();
  expect(state.sightings).toEqual([{ by, atMs: record.nowMs(), item, at }]);
  expect(state.items).toEqual(before.items);
  // The step that takes the bracket out of the bag is no more in the way of than it was.
  expect(state.steps).toEqual(before.steps);
  expect(state.variances).toEqual([]);
});
