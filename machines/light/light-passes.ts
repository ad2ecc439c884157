// Day and night of an orbit: when the sun is behind the planet.
//
// The orbit is round, the shadow a cylinder, the sun far away.
// [light-passes 1] Light and dark follow each other without a gap, for as long as is asked.

import { assert } from "../base/assert.ts";

/** A round orbit around the Earth. */
export type Orbit = {
  readonly altitudeMetres: number;
  /** Angle between the sun's direction and the orbit's plane. */
  readonly betaDegrees: number;
};

/** Gravitational parameter, m³/s², and radius, m, as the published table was computed with. */
const gravity = 3.986e14;
const radiusMetres = 6_378_137;

/**
 * Seconds of one revolution.
 *
 * Errors: none. Source: Kepler's third law, T = 2π √((R + h)³ / GM). Checked in
 * tests/published/eclipse-by-altitude-and-beta.test.ts
 */
export function orbitSeconds({ altitudeMetres }: Orbit): number {
  return 2 * Math.PI * Math.sqrt((radiusMetres + altitudeMetres) ** 3 / gravity);
}

/**
 * Share of a revolution that lies in the shadow, from 0 to below 1/2.
 *
 * Errors: none. Source: (1/π) arccos(√(h² + 2Rh) / ((R + h) cos β)), cylindrical shadow. Checked in
 * tests/published/eclipse-by-altitude-and-beta.test.ts
 */
export function eclipseShare({ altitudeMetres: h, betaDegrees }: Orbit): number {
  const cosine = Math.cos((betaDegrees * Math.PI) / 180);
  const ratio = Math.sqrt(h * h + 2 * radiusMetres * h) / ((radiusMetres + h) * cosine);
  return ratio >= 1 ? 0 : Math.acos(ratio) / Math.PI;
}

/** The beta angle, in degrees, from which on there is no shadow. Errors: none. */
export function betaWithoutEclipse(altitudeMetres: number): number {
  return (Math.asin(radiusMetres / (radiusMetres + altitudeMetres)) * 180) / Math.PI;
}

/** A stretch of light or dark; seconds from the run's start. */
export type LightPass = {
  readonly sort: "light" | "dark";
  readonly fromSeconds: number;
  readonly toSeconds: number;
};

/**
 * Light and dark from the run's start on.
 *
 * @param firstDarkSeconds when a dark pass begins, from the run's start; may be negative
 * Errors: an assertion if so long a time would take more than a million passes.
 */
export function lightPasses(
  orbit: Orbit,
  { firstDarkSeconds, untilSeconds }: { firstDarkSeconds: number; untilSeconds: number },
): readonly LightPass[] {
  const period = orbitSeconds(orbit);
  const dark = eclipseShare(orbit) * period;
  assert(untilSeconds / period < 500_000, "the passes are few enough to be listed");
  if (dark === 0) return [{ sort: "light", fromSeconds: 0, toSeconds: untilSeconds }];
  const passes: LightPass[] = [];
  const add = (sort: LightPass["sort"], from: number, to: number) => {
    const pass = { sort, fromSeconds: Math.max(0, from), toSeconds: Math.min(untilSeconds, to) };
    if (pass.fromSeconds < pass.toSeconds) passes.push(pass);
  };
  let begins = firstDarkSeconds - Math.ceil(firstDarkSeconds / period) * period - period;
  for (; begins < untilSeconds; begins += period) {
    add("dark", begins, begins + dark);
    add("light", begins + dark, begins + period);
  }
  return passes;
}
