// The site map: sites and paths from their coordinates, persons and items where they are, tethers
// from anchor to person; and the same as a list.

import { useRef, useState } from "preact/hooks";
import type { ItemId } from "../../machines/procedure/ids.ts";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import type { RunState } from "../../machines/record/run-state.ts";
import { mapPlanes, siteMapView } from "../../machines/views/site-map-view.ts";
import type { MapPerson, MapPlane, SiteMapView } from "../../machines/views/site-map-view.ts";
import { itemName } from "../../machines/views/words.ts";
import { LaneMark } from "../parts/lane-mark.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { useWidth } from "../parts/use-width.ts";
import { SiteMapDrawing } from "./site-map-drawing.tsx";
import "./site-map.css";

/** What a site map is made of. */
export type SiteMapProps = {
  readonly index: ProcedureIndex;
  /** Null: as the procedure says that everything starts. */
  readonly state: RunState | null;
};

/** The map, with a choice of the plane that it is seen on. */
export function SiteMap({ index, state }: SiteMapProps) {
  const frame = useRef<HTMLDivElement>(null);
  // Many sites need room: on a phone the map is wider than its frame, which then scrolls.
  const width = Math.max(useWidth(frame, 640), index.procedure.sites.length * 28);
  const [plane, setPlane] = useState<MapPlane | null>(null);
  const map = siteMapView(index, state, plane);
  return (
    <div class="site-map">
      <div class="taps site-map__taps" role="group" aria-label="Seen from">
        {mapPlanes.map((offered) => (
          <TapButton
            key={offered.plane}
            tone={offered.plane === map.plane ? "chosen" : "plain"}
            pressed={offered.plane === map.plane}
            onTap={() => setPlane(offered.plane)}
          >
            {offered.name}
          </TapButton>
        ))}
      </div>
      <div
        ref={frame}
        class="site-map__frame"
        role="region"
        tabIndex={0}
        aria-label="Site map, drawn. The same stands in the lists below it."
      >
        <SiteMapDrawing map={map} width={width} />
      </div>
      <ul class="site-map__persons" aria-label="Where the persons are">
        {map.persons.map((person) => (
          <li key={person.position.id}>
            <LaneMark position={person.position} /> {personWords(index, map, person)}
          </li>
        ))}
      </ul>
      <SiteList index={index} map={map} />
    </div>
  );
}

function personWords(index: ProcedureIndex, map: SiteMapView, person: MapPerson): string {
  const site = map.sites.find((candidate) => candidate.site === person.site);
  const tethers = map.tethers
    .filter((tether) => tether.wornBy === person.position.id)
    .map((tether) => {
      const anchor = index.sitesById.get(tether.anchor)?.name ?? tether.anchor;
      return `${tether.name} anchored at ${anchor}`;
    });
  const carried = itemNames(index, person.items);
  return [
    site === undefined ? "at no site" : `at ${site.name}`,
    ...tethers,
    ...(carried === "" ? [] : [`carries ${carried}`]),
  ].join("; ");
}

function itemNames(index: ProcedureIndex, items: readonly ItemId[]): string {
  return items.map((item) => itemName(index, item)).join(", ");
}

function SiteList({ index, map }: { readonly index: ProcedureIndex; readonly map: SiteMapView }) {
  return (
    <details class="site-map__list">
      <summary>Sites by number, and what is there</summary>
      <ol>
        {map.sites.map((site) => (
          <li key={site.site}>
            {site.name}
            {site.items.length === 0 ? "" : `: ${itemNames(index, site.items)}`}
          </li>
        ))}
      </ol>
    </details>
  );
}
