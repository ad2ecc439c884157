// Period and eclipse of a round orbit with a cylindrical shadow, as published for beta 0 at 200 and 400 km
// and for the smallest eclipse (stored copies); the other columns are the same formula with cos beta, which
// is from memory, worked out by the design. GM 3.986e14 m³/s², R 6378.137 km. Tolerance: half of the last digit.

import { expect, test } from "vitest";
import {
  betaWithoutEclipse,
  eclipseShare,
  lightPasses,
  orbitSeconds,
} from "../../machines/light/light-passes.ts";

const eclipseMinutes = (kilometres: number, betaDegrees: number) => {
  const orbit = { altitudeMetres: kilometres * 1000, betaDegrees };
  return (eclipseShare(orbit) * orbitSeconds(orbit)) / 60;
};

const table: readonly (readonly [number, number, readonly number[], number])[] = [
  [200, 88.494, [37.28, 36.18, 34.29, 29.84], 75.84],
  [400, 92.56, [36.11, 34.45, 31.58, 24.37], 70.22],
  [500, 94.616, [35.75, 33.85, 30.51, 21.83], 68.02],
];

test.each(table)("[light-passes 1] at %d km one turn takes %d min", (kilometres, minutes) => {
  const orbit = { altitudeMetres: kilometres * 1000, betaDegrees: 0 };
  expect(orbitSeconds(orbit) / 60).toBeCloseTo(minutes, 2);
});

test.each(table)("[light-passes 1] at %d km the eclipse is as published", (...row) => {
  const [kilometres, , eclipses, limit] = row;
  for (const [place, beta] of [0, 30, 45, 60].entries()) {
    expect(Math.abs(eclipseMinutes(kilometres, beta) - (eclipses[place] ?? 0))).toBeLessThan(
      0.0075,
    );
  }
  expect(Math.abs(betaWithoutEclipse(kilometres * 1000) - limit)).toBeLessThan(0.0075);
  expect(eclipseMinutes(kilometres, limit + 0.1)).toBe(0);
  expect(eclipseMinutes(kilometres, limit - 0.1)).toBeGreaterThan(0);
});

test("[light-passes 1] the eclipse is 42.24 min at 0 km and smallest, 34.82 min, near 1370 km", () => {
  expect(eclipseMinutes(0, 0)).toBeCloseTo(42.24, 2);
  const heights = Array.from({ length: 400 }, (_, step) => step * 10);
  const smallest = heights.reduce((a, b) => (eclipseMinutes(b, 0) < eclipseMinutes(a, 0) ? b : a));
  expect(Math.abs(smallest - 1370)).toBeLessThanOrEqual(30);
  expect(Math.abs(eclipseMinutes(smallest, 0) - 34.82)).toBeLessThan(0.0075);
});

test("[light-passes 1] light and dark follow each other without a gap", () => {
  const orbit = { altitudeMetres: 400_000, betaDegrees: 30 };
  for (const firstDarkSeconds of [-100_000, -3000, 0, 1234, 50_000]) {
    const passes = lightPasses(orbit, { firstDarkSeconds, untilSeconds: 40_000 });
    expect([passes[0]?.fromSeconds, passes.at(-1)?.toSeconds]).toEqual([0, 40_000]);
    for (const [place, pass] of passes.slice(1).entries()) {
      expect(pass.fromSeconds).toBeCloseTo(passes[place]?.toSeconds ?? -1, 6);
      expect(pass.sort).not.toBe(passes[place]?.sort);
    }
    const dark = passes.slice(1, -1).find(({ sort }) => sort === "dark");
    expect((dark?.toSeconds ?? 0) - (dark?.fromSeconds ?? 0)).toBeCloseTo(34.45 * 60, -1);
  }
  expect(
    lightPasses({ ...orbit, betaDegrees: 80 }, { firstDarkSeconds: 0, untilSeconds: 10 }),
  ).toEqual([{ sort: "light", fromSeconds: 0, toSeconds: 10 }]);
});
