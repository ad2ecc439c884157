import { expect, test } from "vitest";
import type { ItemId, SiteId, StepId } from "../../../../machines/procedure/ids.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { inventoryView } from "../../../../machines/views/inventory-view.ts";
import { siteMapView, widestPlane } from "../../../../machines/views/site-map-view.ts";
import type { MapPlane } from "../../../../machines/views/site-map-view.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aSite } from "../../../support/procedure-parts.ts";
import { tappedRun } from "../../../support/tapped-run.ts";
import type { TappedRun } from "../../../support/tapped-run.ts";

// EV1 is at the rack, on a tether from the rack; EV2 and the reader are where they started.
function aRunAtTheRack(): TappedRun {
  const run = tappedRun(aProcedure());
  for (const id of ["ev1-to-rack", "ev1-swap-tether"]) {
    run.tap("desk", { kind: "step.started", step: id as StepId }, "ev1");
    run.tap("desk", { kind: "step.done", step: id as StepId }, "ev1");
  }
  return run;
}

test("[site-map 1] items are at the site or with the person that holds them", () => {
  const run = aRunAtTheRack();
  const map = siteMapView(run.index, run.state(), null);
  expect(map.sites.find((site) => site.site === "rack")?.items).toEqual(["restraint"]);
  const ev1 = map.persons.find((person) => person.position.id === "ev1");
  expect(ev1).toMatchObject({ site: "rack", items: ["tool-bag"] });
});

test("[site-map 2] a tether is a line from its anchor to its wearer", () => {
  const run = aRunAtTheRack();
  const map = siteMapView(run.index, run.state(), "x-y");
  expect(map.tethers).toEqual([
    expect.objectContaining({ tether: "tether-1", anchor: "rack", from: { right: 4, down: 0 } }),
    expect.objectContaining({ tether: "tether-2", anchor: "hatch", from: { right: 0, down: 0 } }),
  ]);
  expect(map.tethers[0]?.to).toEqual({ right: 4, down: 0 });
});

test("[site-map 3] distances on a plane are those of its two axes", () => {
  const index = indexProcedure(aProcedure());
  const map = siteMapView(index, null, "x-z");
  const at = (id: string) => map.sites.find((site) => site.site === id)?.at;
  expect(at("rack")).toEqual({ right: 4, down: -1 });
  expect(map.bounds).toEqual({ left: 0, top: -1, width: 4, height: 1 });
});

function check(spread: readonly [number, number, number], plane: MapPlane) {
  const [x, y, z] = spread;
  const sites = [
    aSite("hatch"),
    aSite("rack", { pointMetres: { x, y, z } }),
    aSite("shelf", { id: "shelf" as SiteId }),
  ];
  expect(widestPlane(indexProcedure(aProcedure({ sites })))).toBe(plane);
}

test("[site-map 3] the plane of the largest spread leaves out the narrowest axis", () => {
  check([5, 4, 1], "x-y");
  check([5, 1, 4], "x-z");
  check([1, 5, 4], "y-z");
  check([-5, 0, -4], "x-z");
});

test("[inventory 1] an item's way out is told from the inside out", () => {
  const lines = inventoryView(aRunAtTheRack().index, aRunAtTheRack().state());
  expect(lines.map((line) => line.item)).toEqual(["tool-bag", "driver", "bracket", "restraint"]);
  expect(lines[1]).toMatchObject({ where: "in Item tool-bag, with EV1", isMoved: false });
  expect(lines[2]).toMatchObject({ where: "in Item tool-bag, with EV1", isAtItsEnd: false });
});

test("[inventory 2] a sighting elsewhere stands beside the record's place and moves nothing", () => {
  const run = aRunAtTheRack();
  const item = "driver" as ItemId;
  run.tap("desk", { kind: "item.sighted", item, at: { site: "shelf" as SiteId } });
  const [, driver] = inventoryView(run.index, run.state());
  expect(driver).toMatchObject({ where: "in Item tool-bag, with EV1", isMoved: false });
  expect(driver?.sighting?.where).toBe("at Site shelf");
  run.tap("desk", { kind: "item.sighted", item, at: { item: "tool-bag" as ItemId } });
  expect(inventoryView(run.index, run.state())[1]?.sighting).toBeNull();
});
