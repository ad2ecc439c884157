import { array, assert, integer, property, record, string } from "fast-check";
import { expect, test } from "vitest";
import { placeLabels } from "../../../../app/site-map/place-labels.ts";
import type { LabelPlace, Labelled, LabelSizes } from "../../../../app/site-map/place-labels.ts";

const sizes: LabelSizes = {
  letterWidth: 8,
  lineHeight: 18,
  pointRadius: 10,
  width: 400,
  height: 300,
};

const somePoints = array(
  record({
    x: integer({ min: 0, max: 400 }),
    y: integer({ min: 0, max: 300 }),
    name: string({ minLength: 1, maxLength: 12 }),
  }),
  { minLength: 1, maxLength: 30 },
);

test("[labels 1] no name overlaps another or a point, and all are on the ground", () => {
  assert(
    property(somePoints, (points) => {
      const places = placeLabels(points, sizes);
      const boxes = points.flatMap((point, at) => boxOf(point, places[at] ?? null));
      const dots = points.map(({ x, y }) => ({
        left: x - 10,
        right: x + 10,
        top: y - 10,
        bottom: y + 10,
      }));
      for (const [at, box] of boxes.entries()) {
        expect(box.left >= 0 && box.right <= 400 && box.top >= 0 && box.bottom <= 300).toBe(true);
        const others = [...boxes.slice(at + 1), ...dots];
        expect(others.filter((other) => overlap(box, other))).toEqual([]);
      }
    }),
  );
});

test("[labels 2] a name without room gets no place", () => {
  const crowd = Array.from({ length: 9 }, () => ({ x: 200, y: 150, name: "Bay seven" }));
  const places = placeLabels(crowd, sizes);
  expect(places.filter((place) => place !== null)).toHaveLength(4);
  expect(places.slice(4)).toEqual([null, null, null, null, null]);
});

test("[labels 3] earlier points choose first: below their point where they can", () => {
  const [first, second] = placeLabels(
    [
      { x: 100, y: 150, name: "Hatch" },
      { x: 130, y: 150, name: "Rail" },
    ],
    sizes,
  );
  // The first name takes the room below both points, so the second goes above.
  expect(first?.y).toBeGreaterThan(150);
  expect(second?.y).toBeLessThan(150);
});

type Box = { left: number; right: number; top: number; bottom: number };

function boxOf(point: Labelled, place: LabelPlace | null): readonly Box[] {
  if (place === null) return [];
  const width = point.name.length * 8;
  const back = { start: 0, middle: width / 2, end: width }[place.anchor];
  // The base line is a quarter of the line's height above its bottom.
  const bottom = place.y + 18 / 4;
  return [{ left: place.x - back, right: place.x - back + width, top: bottom - 18, bottom }];
}

function overlap(a: Box, b: Box): boolean {
  const gap = 1e-9;
  return (
    a.left < b.right - gap &&
    b.left < a.right - gap &&
    a.top < b.bottom - gap &&
    b.top < a.bottom - gap
  );
}
