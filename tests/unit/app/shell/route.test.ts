import { expect, test } from "vitest";
import { readRoute, routeHash } from "../../../../app/shell/route.ts";
import type { Route } from "../../../../app/shell/route.ts";
import type { Identity, PositionId } from "../../../../machines/procedure/ids.ts";
import type { RunId } from "../../../../machines/record/ids.ts";

const run = "0198-run" as RunId;

const places: readonly Route[] = [
  { at: "shelf" },
  { at: "about" },
  { at: "plan", procedure: "a1b2c3" as Identity },
  { at: "run", run, screen: "home", lane: null },
  { at: "run", run, screen: "desk", lane: null },
  { at: "run", run, screen: "lane", lane: "ev1" as PositionId },
  { at: "run", run, screen: "lane", lane: "arm/2 %" as PositionId },
];

test.each(places)("[route 2] the address of $at $screen $lane names that place", (place) => {
  expect(readRoute(routeHash(place))).toEqual(place);
});

test.each(["", "#", "#/", "#/nowhere", "#/run", "#/run/", "#/plan", "#/plan/", "#/%"])(
  "[route 1] the address %j is the shelf",
  (hash) => {
    expect(readRoute(hash)).toEqual({ at: "shelf" });
  },
);

test("[route 1] an unknown screen of a run is the one that suits the device", () => {
  expect(readRoute("#/run/0198-run/engine-room")).toEqual({
    at: "run",
    run,
    screen: "home",
    lane: null,
  });
});
