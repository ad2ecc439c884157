// Metres of the site map in pixels of its drawing.

import type { MapBounds, MapPoint } from "../../machines/views/site-map-view.ts";

/** Size of a drawing and how metres lie in it. */
export type MapGround = {
  readonly width: number;
  readonly height: number;
  readonly pixelsPerMetre: number;
  readonly toPixels: (point: MapPoint) => { readonly x: number; readonly y: number };
};

const marginAcross = 60;
const marginDown = 56;
const heightMin = 240;
const heightMax = 560;

/** Fits the bounds into a width; the height follows from their shape, within limits. */
export function groundOf(bounds: MapBounds, width: number): MapGround {
  const across = Math.max(1, width - 2 * marginAcross);
  const wantedHeight = (across / bounds.width) * bounds.height + 2 * marginDown;
  const height = Math.min(Math.max(wantedHeight, heightMin), heightMax);
  const pixelsPerMetre = Math.min(across / bounds.width, (height - 2 * marginDown) / bounds.height);
  const left = (width - pixelsPerMetre * bounds.width) / 2;
  const top = (height - pixelsPerMetre * bounds.height) / 2;
  return {
    width,
    height,
    pixelsPerMetre,
    toPixels: ({ right, down }) => ({
      x: left + (right - bounds.left) * pixelsPerMetre,
      y: top + (down - bounds.top) * pixelsPerMetre,
    }),
  };
}

/** A round length in metres that takes between a sixth and a third or so of the width. */
export function scaleBarMetres(ground: MapGround): number {
  const wanted = ground.width / 4 / ground.pixelsPerMetre;
  const size = 10 ** Math.floor(Math.log10(wanted));
  const step = [5, 2, 1].find((factor) => factor * size <= wanted) ?? 1;
  return step * size;
}
