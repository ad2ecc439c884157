// The figures of the plan screen: the worst of the points that the return check gives, and the margins.

import { expect, test } from "vitest";
import { suitUses } from "../../../../machines/consumables/suit-use.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { returnTimes } from "../../../../machines/reach-back/return-times.ts";
import { suitMargins, worstReturns } from "../../../../machines/views/plan-figures.ts";
import type { Draft } from "../../../support/seeded-faults.ts";
import { demoProcedure } from "../../workers/hub/demo/demo-documents.ts";

const index = indexProcedure(demoProcedure("petrel-deck"));

test("each lane's worst points are the longest of its points, against the limit", () => {
  const { points } = returnTimes(index);
  const { lanes, limitSeconds } = worstReturns(index);
  expect(lanes.map(({ lane }) => lane.id)).toEqual(["ev1", "ev2"]);
  for (const { lane, abort, terminate } of lanes) {
    const own = points.filter(({ position }) => position === lane.id);
    expect(abort.seconds).toBe(Math.max(...own.map((point) => point.abortSeconds)));
    expect(terminate.seconds).toBe(Math.max(...own.map((point) => point.terminateSeconds)));
    expect(abort.isWithin).toBe((abort.seconds ?? Infinity) <= limitSeconds);
  }
});

test("[plan-figures 1] where no way leads back, there is no number, and it is beyond the limit", () => {
  const draft = structuredClone(demoProcedure("petrel-deck")) as Draft;
  draft.paths = [];
  draft.arms = [];
  const { lanes } = worstReturns(indexProcedure(draft));
  expect(lanes.map(({ abort }) => [abort.seconds, abort.isWithin])).toEqual([
    [null, false],
    [null, false],
  ]);
});

test("what is left and what was used make a full suit; the limiting one stands first", () => {
  const uses = suitUses(index);
  for (const { lane, limiting, left } of suitMargins(index)) {
    const use = uses.find(({ position }) => position === lane.id);
    expect(left[0]?.consumable).toBe(limiting);
    expect(left[0]?.consumable.toLowerCase().replace(" w", "W")).toBe(use?.limiting);
    const shares = (use?.uses ?? []).map(({ used, capacity }) => 1 - used.likely / capacity);
    for (const { likelyShare, longestShare } of left) {
      expect(shares.some((share) => Math.abs(share - likelyShare) < 1e-9)).toBe(true);
      expect(longestShare).toBeLessThan(likelyShare);
    }
  }
});
