import { expect, test } from "vitest";
import type { WindowId } from "../../../../machines/procedure/ids.ts";
import type { TimeWindow } from "../../../../machines/procedure/procedure.ts";
import { spansForSteps, stepsWithoutSpan } from "../../../../machines/time/window-spans.ts";
import { aTimedPlan, timed } from "./a-timed-plan.ts";

const photo = timed("photo", [10, 10, 10], { needsWindows: ["light", "loop"] });
const lead = timed("work", [100, 200, 400]);
const loop = aWindow("loop", [
  [0, 250],
  [420, 5000],
]);

test("[window-spans 1] a step's spans are those in which all its windows are open", () => {
  check(
    [
      [0, 120],
      [200, 450],
      [600, 700],
    ],
    [
      [420, 450],
      [600, 700],
      [200, 250],
      [0, 120],
    ],
  );
});

test("[window-spans 2] the span that it comes to at the most stands first", () => {
  check(
    [
      [0, 100],
      [450, 460],
    ],
    [
      [450, 460],
      [0, 100],
    ],
  );
  check([[0, 100]], [[0, 100]]);
});

test("[window-spans 3] a step is without a span where every span has passed at the most", () => {
  expect(lost([[0, 900]])).toEqual([]);
  expect(lost([[0, 300]])).toEqual([["photo", false]]);
  expect(lost([[0, 150]])).toEqual([["photo", true]]);
});

function lost(spans: readonly (readonly [number, number])[]) {
  const index = aTimedPlan([lead, photo], { windows: [aWindow("light", spans), loop] });
  return stepsWithoutSpan(index).map(({ step, isLostAtLikely }) => [step.id, isLostAtLikely]);
}

function check(
  lightSpans: readonly [number, number][],
  spans: readonly (readonly [number, number])[],
): void {
  const windows = [aWindow("light", lightSpans), loop];
  const [found, ...others] = spansForSteps(aTimedPlan([lead, photo], { windows }));
  expect(others).toEqual([]);
  expect(found?.spans.map(({ fromSeconds, toSeconds }) => [fromSeconds, toSeconds])).toEqual(spans);
}

function aWindow(id: string, spans: readonly (readonly [number, number])[]): TimeWindow {
  return {
    id: id as WindowId,
    name: id,
    sort: "light",
    spans: spans.map(([fromSeconds, toSeconds]) => ({ fromSeconds, toSeconds })),
  };
}
