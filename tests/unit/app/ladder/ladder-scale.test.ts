import { expect, test } from "vitest";
import {
  partAround,
  secondsToPixels,
  tickSeconds,
  wrapWords,
  zoomSpans,
} from "../../../../app/ladder/ladder-scale.ts";

const sixHours = { fromSeconds: 0, toSeconds: 21_600 };

test("[ladder-scale 1] the part in sight stays inside the run", () => {
  expect(partAround(sixHours, 600, 0)).toEqual({ fromSeconds: 0, toSeconds: 600 });
  expect(partAround(sixHours, 600, 21_600)).toEqual({ fromSeconds: 21_000, toSeconds: 21_600 });
  expect(partAround(sixHours, 21_600, 9000)).toEqual(sixHours);
});

test("[ladder-scale 2] closer and wider keep the middle", () => {
  for (const span of [14_400, 7200, 600]) {
    const part = partAround(sixHours, span, 10_800);
    expect((part.fromSeconds + part.toSeconds) / 2).toBe(10_800);
  }
});

test("it zooms from the whole run to ten minutes; a short run is offered no wider spans", () => {
  expect(zoomSpans(sixHours)).toEqual([21_600, 14_400, 7200, 3600, 1800, 600]);
  expect(zoomSpans({ fromSeconds: 0, toSeconds: 500 })).toEqual([500]);
});

test("seconds lie in proportion, ticks are round and far enough apart", () => {
  const part = { fromSeconds: 600, toSeconds: 1200 };
  expect(secondsToPixels(part, 300, 900)).toBe(150);
  expect(tickSeconds(part, 300, 56)).toEqual([600, 720, 840, 960, 1080, 1200]);
  expect(tickSeconds(sixHours, 600, 56)).toEqual([0, 3600, 7200, 10_800, 14_400, 18_000, 21_600]);
});

test("words are wrapped, and cut with an ellipsis where there is no more room", () => {
  expect(wrapWords("3 Turn both latches", 8, 3)).toEqual(["3 Turn", "both", "latches"]);
  expect(wrapWords("3 Turn both latches", 8, 2)).toEqual(["3 Turn", "both…"]);
  expect(wrapWords("unpronounceable", 6, 2)).toEqual(["unpro…"]);
  expect(wrapWords("anything", 8, 0)).toEqual([]);
});
