// The site map as plain data: sites, paths, persons, items and tethers on one plane.
//
// Definition: a *plane* is two of the three axes; the plane *of the largest spread* leaves out the
//   axis along which the sites lie closest together.
// [site-map 1] An item is drawn where what holds it is: at a site, or with a person at a site.
// [site-map 2] Each anchor of a tether whose wearer is at a site is a line from anchor to person.
// [site-map 3] Points keep their distances within the plane: one metre is as long each way.

import type { ItemId, PathId, PositionId, SiteId, TetherId } from "../procedure/ids.ts";
import type { Place } from "../procedure/place.ts";
import type { Position, Site, SiteSort } from "../procedure/procedure.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { RunState } from "../record/run-state.ts";

/** Two axes: the first to the right, the second upwards; `x-y` is the view from above. */
export type MapPlane = "x-y" | "x-z" | "y-z";

/** Planes in the order in which they are offered, with what they are called. */
export const mapPlanes: readonly { readonly plane: MapPlane; readonly name: string }[] = [
  { plane: "x-y", name: "From above" },
  { plane: "x-z", name: "From the side" },
  { plane: "y-z", name: "From the end" },
];

/** A map; metres to the right and downwards, so that it can be drawn as it stands. */
export type SiteMapView = {
  readonly plane: MapPlane;
  readonly bounds: MapBounds;
  readonly sites: readonly MapSite[];
  readonly paths: readonly MapPath[];
  readonly persons: readonly MapPerson[];
  readonly tethers: readonly MapTether[];
};

/** A point of the map, metres from its origin. */
export type MapPoint = { readonly right: number; readonly down: number };

/** The smallest rectangle with all sites in it, metres. */
export type MapBounds = {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
};

/** A site and what is there. */
export type MapSite = {
  readonly site: SiteId;
  readonly name: string;
  readonly sort: SiteSort;
  readonly at: MapPoint;
  /** Names of the items that are there, those inside them and with persons not counted. */
  readonly items: readonly ItemId[];
};

/** A path between two sites. */
type MapPath = { readonly path: PathId; readonly from: MapPoint; readonly to: MapPoint };

/** A person and what they carry. */
export type MapPerson = {
  readonly position: Position;
  /** Null: at no site of the map. */
  readonly site: SiteId | null;
  readonly at: MapPoint | null;
  /** Which of the persons at that site this is, from 0. */
  readonly place: number;
  readonly items: readonly ItemId[];
};

/** One anchor of a tether, and its wearer. */
export type MapTether = {
  readonly tether: TetherId;
  readonly name: string;
  readonly wornBy: PositionId;
  readonly anchor: SiteId;
  readonly from: MapPoint;
  readonly to: MapPoint;
};

/**
 * The map on a plane; on the plane of the largest spread if none is named.
 *
 * @param state null: as the procedure says that everything starts
 */
export function siteMapView(
  index: ProcedureIndex,
  state: RunState | null,
  wanted: MapPlane | null,
): SiteMapView {
  const plane = wanted ?? widestPlane(index);
  const points = new Map(
    index.procedure.sites.map((site) => [site.id, pointOn(plane, site)] as const),
  );
  const persons = personsOn(index, state, points);
  return {
    plane,
    bounds: boundsOf([...points.values()]),
    sites: index.procedure.sites.map((site) => ({
      site: site.id,
      name: site.name,
      sort: site.sort,
      at: pointOn(plane, site),
      items: itemsDirectlyAt(index, state, (place) => "site" in place && place.site === site.id),
    })),
    paths: index.procedure.paths.flatMap((path) => {
      const [from, to] = [points.get(path.from), points.get(path.to)];
      return from === undefined || to === undefined ? [] : [{ path: path.id, from, to }];
    }),
    persons,
    tethers: tethersOn(index, state, { points, persons }),
  };
}

/** The plane that leaves out the axis along which the sites lie closest together. */
export function widestPlane(index: ProcedureIndex): MapPlane {
  const spread = (axis: "x" | "y" | "z") => {
    const along = index.procedure.sites.map((site) => site.pointMetres[axis]);
    return along.length === 0 ? 0 : Math.max(...along) - Math.min(...along);
  };
  const [x, y, z] = [spread("x"), spread("y"), spread("z")];
  if (z <= x && z <= y) return "x-y";
  return y <= x ? "x-z" : "y-z";
}

function pointOn(plane: MapPlane, site: Site): MapPoint {
  const { x, y, z } = site.pointMetres;
  // `0 -` and not a bare minus: a map has no use for minus zero.
  if (plane === "x-y") return { right: x, down: 0 - y };
  return { right: plane === "x-z" ? x : y, down: 0 - z };
}

function boundsOf(points: readonly MapPoint[]): MapBounds {
  if (points.length === 0) return { left: 0, top: 0, width: 1, height: 1 };
  const rights = points.map((point) => point.right);
  const downs = points.map((point) => point.down);
  const left = Math.min(...rights);
  const top = Math.min(...downs);
  // At least a metre each way, so that a map of one site has a size.
  const width = Math.max(1, Math.max(...rights) - left);
  const height = Math.max(1, Math.max(...downs) - top);
  return { left, top, width, height };
}

function personsOn(
  index: ProcedureIndex,
  state: RunState | null,
  points: ReadonlyMap<SiteId, MapPoint>,
): readonly MapPerson[] {
  const countBySite = new Map<SiteId, number>();
  return index.procedure.positions
    .filter((position) => position.startsAt !== null || siteOf(state, position) !== null)
    .map((position) => {
      const site = siteOf(state, position);
      const place = site === null ? 0 : (countBySite.get(site) ?? 0);
      if (site !== null) countBySite.set(site, place + 1);
      const at = site === null ? null : (points.get(site) ?? null);
      const items = itemsDirectlyAt(
        index,
        state,
        (where) => "position" in where && where.position === position.id,
      );
      return { position, site, at, place, items };
    });
}

function siteOf(state: RunState | null, position: Position): SiteId | null {
  const person = state?.persons[position.id];
  return person === undefined ? position.startsAt : person.site;
}

function itemsDirectlyAt(
  index: ProcedureIndex,
  state: RunState | null,
  isThere: (place: Place) => boolean,
): readonly ItemId[] {
  return index.procedure.items
    .filter((item) => isThere(state?.items[item.id] ?? item.startsAt))
    .map((item) => item.id);
}

type Ground = {
  readonly points: ReadonlyMap<SiteId, MapPoint>;
  readonly persons: readonly MapPerson[];
};

function tethersOn(
  index: ProcedureIndex,
  state: RunState | null,
  { points, persons }: Ground,
): readonly MapTether[] {
  return index.procedure.tethers.flatMap((tether) => {
    const start = tether.startsAnchoredAt === null ? [] : [tether.startsAnchoredAt];
    const anchors = state?.tethers[tether.id] ?? start;
    const to = persons.find((person) => person.position.id === tether.wornBy)?.at ?? null;
    return anchors.flatMap((anchor) => {
      const from = points.get(anchor);
      if (from === undefined || to === null) return [];
      return [{ tether: tether.id, name: tether.name, wornBy: tether.wornBy, anchor, from, to }];
    });
  });
}
