import { expect, test } from "vitest";
import type { StepId } from "../../../../machines/procedure/ids.ts";
import { plannedTimes } from "../../../../machines/time/planned-times.ts";
import { ladderList } from "../../../../machines/views/ladder-list.ts";
import { ladderView } from "../../../../machines/views/ladder-view.ts";
import type { StretchLayer } from "../../../../machines/views/ladder-view.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { tappedRun } from "../../../support/tapped-run.ts";
import type { TappedRun } from "../../../support/tapped-run.ts";

function ladderOf(run: TappedRun) {
  return ladderView(run.index, plannedTimes(run.index), run.state(), run.nowMs());
}

function layersOf(run: TappedRun, id: string): readonly StretchLayer[] {
  return ladderOf(run)
    .stretches.filter((stretch) => stretch.step === id)
    .map((stretch) => stretch.layer)
    .toSorted();
}

function aHeldRun(): TappedRun {
  const run = tappedRun(aProcedure());
  run.tap("desk", { kind: "step.started", step: "ev1-to-rack" as StepId }, "ev1");
  run.tap("desk", {
    kind: "hold.raised",
    scope: { covers: "lane", lane: "ev1" as never },
    reason: "Check the tether",
    inject: null,
  });
  run.wait(60);
  return run;
}

test("[ladder-view 1] a step is as run once started, coming before, planned beside", () => {
  const run = aHeldRun();
  expect(layersOf(run, "ev1-to-rack")).toEqual(["as-run", "planned"]);
  expect(layersOf(run, "ev2-to-rack")).toEqual(["coming", "planned"]);
  expect(layersOf(run, "ev1-back-off")).toEqual([]);
});

test("[ladder-view 1] a plan that no run follows is planned only; its gates are shut", () => {
  const run = tappedRun(aProcedure(), false);
  const ladder = ladderOf(run);
  expect(new Set(ladder.stretches.map((stretch) => stretch.layer))).toEqual(new Set(["planned"]));
  expect(ladder.nowSeconds).toBeNull();
  const torque = ladder.stretches.find((stretch) => stretch.step === "ev1-torque");
  expect(torque?.gates).toEqual([
    { gate: "warning-1", before: "start", isOpen: false },
    { gate: "go", before: "start", isOpen: false },
    { gate: "bolts", before: "done", isOpen: false },
  ]);
});

test("[ladder-view 2] a meet has a rung in each layer in which two lanes stand at it", () => {
  const rungs = ladderOf(aHeldRun()).rungs;
  expect(rungs.map((rung) => rung.layer)).toEqual(["planned", "coming"]);
  expect(rungs[0]?.ends).toEqual([
    { lane: "ev1", seconds: 180 },
    { lane: "ev2", seconds: 180 },
  ]);
});

test("[ladder-view 3] a hold spans its lanes up to now", () => {
  const run = aHeldRun();
  expect(ladderOf(run).holds).toEqual([
    expect.objectContaining({ lanes: ["ev1"], fromSeconds: 2, toSeconds: 63, isSimulated: false }),
  ]);
});

test("the list says each stretch, rung and hold once, by time", () => {
  const run = aHeldRun();
  const lines = ladderList(run.index, ladderOf(run)).map((line) => line.text);
  expect(lines).toContain(
    "0:00:01 EV1 step 1: Go to the rack. As run, 1 min 2 s. Working. Planned at 0:00:00, 1 min 30 s.",
  );
  expect(lines).toContain("0:00:02 Hold of EV1, 1 min 1 s: Check the tether");
  expect(lines.filter((line) => line.includes("EV2 step 1:"))).toHaveLength(1);
  expect(lines.some((line) => line.includes("Expected: EV1 and EV2 meet: Both at the rack."))).toBe(
    true,
  );
});
