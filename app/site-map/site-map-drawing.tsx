// The site map's drawing. For eyes only: the list beside it says the same in words.

import type { Marking } from "../../machines/procedure/procedure.ts";
import type {
  MapPerson,
  MapSite,
  MapTether,
  SiteMapView,
} from "../../machines/views/site-map-view.ts";
import { groundOf, scaleBarMetres } from "./map-ground.ts";
import type { MapGround } from "./map-ground.ts";
import { placeLabels } from "./place-labels.ts";

/** What the drawing shows. */
export type SiteMapDrawingProps = { readonly map: SiteMapView; readonly width: number };

const siteRadius = 9;
const personRadius = 15;

/** The SVG of a map. */
export function SiteMapDrawing({ map, width }: SiteMapDrawingProps) {
  const ground = groundOf(map.bounds, width);
  return (
    <svg
      class="site-map__drawing"
      viewBox={`0 0 ${width} ${ground.height}`}
      width={width}
      height={ground.height}
      aria-hidden="true"
      focusable="false"
    >
      {map.paths.map((path) => {
        const [from, to] = [ground.toPixels(path.from), ground.toPixels(path.to)];
        return (
          <line
            key={path.path}
            class="site-map__path"
            x1={from.x}
            y1={from.y}
            x2={to.x}
            y2={to.y}
          />
        );
      })}
      {map.tethers.map((tether) => (
        <Tether
          key={`${tether.tether} ${tether.anchor}`}
          ground={ground}
          tether={tether}
          persons={map.persons}
        />
      ))}
      <Sites ground={ground} sites={map.sites} persons={map.persons} />
      {map.persons.map((person) => (
        <Person key={person.position.id} ground={ground} person={person} />
      ))}
      <ScaleBar ground={ground} />
    </svg>
  );
}

type SitesProps = {
  readonly ground: MapGround;
  readonly sites: readonly MapSite[];
  readonly persons: readonly MapPerson[];
};

function Sites({ ground, sites, persons }: SitesProps) {
  const points = sites.map((site) => ({ ...ground.toPixels(site.at), name: site.name }));
  // Persons stand above their sites, and no name goes there.
  const standing = persons.flatMap((person) => {
    const at = personPixels(ground, person);
    return at === null ? [] : [{ ...at, name: "" }];
  });
  const places = placeLabels([...points, ...standing], {
    letterWidth: 8.4,
    lineHeight: 18,
    pointRadius: siteRadius + 3,
    width: ground.width,
    height: ground.height,
  });
  return (
    <>
      {sites.map((site, at) => {
        const point = points[at];
        if (point === undefined) return null;
        const place = places[at] ?? null;
        return (
          <g key={site.site} class={`site-map__site site-map__site--${site.sort}`}>
            <path d={shapeOf(site, point)} />
            {place === null ? (
              <text class="site-map__number" x={point.x} y={point.y + 5} text-anchor="middle">
                {at + 1}
              </text>
            ) : (
              <text class="site-map__name" x={place.x} y={place.y} text-anchor={place.anchor}>
                {site.name}
              </text>
            )}
          </g>
        );
      })}
    </>
  );
}

// Hatch: a house-like door; worksite: square; stowage: square with a lid; anchor: ring; arm tip: diamond.
function shapeOf(site: MapSite, { x, y }: { readonly x: number; readonly y: number }): string {
  const r = siteRadius;
  switch (site.sort) {
    case "hatch":
      return `M${x - r} ${y + r}v${-r}a${r} ${r} 0 0 1 ${2 * r} 0v${r}z`;
    case "worksite":
      return `M${x - r} ${y - r}h${2 * r}v${2 * r}h${-2 * r}z`;
    case "stowage":
      return `M${x - r} ${y - r}h${2 * r}v${2 * r}h${-2 * r}zm0 6h${2 * r}`;
    case "anchor":
      return `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0z`;
    case "arm-tip":
      return `M${x} ${y - r - 2}l${r + 2} ${r + 2}l${-r - 2} ${r + 2}l${-r - 2} ${-r - 2}z`;
  }
}

function personPixels(
  ground: MapGround,
  person: MapPerson,
): { readonly x: number; readonly y: number } | null {
  if (person.at === null) return null;
  const { x, y } = ground.toPixels(person.at);
  const side = person.place % 2 === 0 ? -1 : 1;
  const far = siteRadius + personRadius + 2 + Math.floor(person.place / 2) * (2 * personRadius + 4);
  return { x: x + side * 0.45 * far, y: y - far };
}

function Person({ ground, person }: { readonly ground: MapGround; readonly person: MapPerson }) {
  const at = personPixels(ground, person);
  if (at === null) return null;
  const { name, marking } = person.position;
  return (
    <g class={`site-map__person lane-${marking.colour}`}>
      <circle cx={at.x} cy={at.y} r={personRadius} />
      <circle
        class="site-map__ring"
        cx={at.x}
        cy={at.y}
        r={personRadius - 3}
        stroke-dasharray={ringDashes[marking.pattern]}
      />
      <text x={at.x} y={at.y + 5} text-anchor="middle">
        {name.length <= 3 ? name : name.slice(0, 3)}
      </text>
    </g>
  );
}

const ringDashes: Readonly<Record<Marking["pattern"], string | undefined>> = {
  solid: undefined,
  dashes: "9 5",
  dots: "2 5",
  bars: "4 3",
  waves: "9 3 2 3",
};

type TetherProps = {
  readonly ground: MapGround;
  readonly tether: MapTether;
  readonly persons: readonly MapPerson[];
};

// A tether hangs: a line with a little slack in it tells it from a path.
function Tether({ ground, tether, persons }: TetherProps) {
  const wearer = persons.find((person) => person.position.id === tether.wornBy);
  const to = wearer === undefined ? null : personPixels(ground, wearer);
  if (wearer === undefined || to === null) return null;
  const from = ground.toPixels(tether.from);
  const sag = Math.max(12, Math.abs(to.x - from.x) / 8);
  const middle = { x: (from.x + to.x) / 2, y: Math.max(from.y, to.y) + sag };
  return (
    <path
      class={`site-map__tether lane-${wearer.position.marking.colour}`}
      d={`M${from.x} ${from.y}Q${middle.x} ${middle.y} ${to.x} ${to.y}`}
    />
  );
}

function ScaleBar({ ground }: { readonly ground: MapGround }) {
  const metres = scaleBarMetres(ground);
  const length = metres * ground.pixelsPerMetre;
  const down = ground.height - 14;
  return (
    <g class="site-map__scale">
      <path d={`M12 ${down - 6}v6h${length}v-6`} />
      <text x={18 + length} y={down}>
        {metres} m
      </text>
    </g>
  );
}
