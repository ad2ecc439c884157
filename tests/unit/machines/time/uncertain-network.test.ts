import { expect, test } from "vitest";
import { contingentFlaws } from "../../../../machines/time/uncertain-network.ts";
import type { Contingent } from "../../../../machines/time/uncertain-network.ts";

test("[uncertain 1] every contingent span that cannot be is named", () => {
  check([[0, 1, 2, 3]], []);
  check([[0, 1, 2, 2]], []);
  check([[0, 0, 2, 3]], [0]);
  check([[0, 1, -2, 3]], [0]);
  check([[0, 1, 4, 3]], [0]);
  check(
    [
      [0, 1, 1, 3],
      [2, 1, 1, 3],
    ],
    [1],
  );
  check(
    [
      [0, 0, -3, -4],
      [2, 1, 1, 3],
    ],
    [0, 0, 0],
  );
});

function check(
  spans: readonly (readonly [number, number, number, number])[],
  places: readonly number[],
): void {
  const contingents = spans.map(([activation, end, leastSeconds, mostSeconds]): Contingent => ({
    activation,
    end,
    leastSeconds,
    mostSeconds,
  }));
  const flaws = contingentFlaws({ points: 3, bounds: [], contingents });
  expect(flaws.map(({ contingent }) => contingent)).toEqual(places);
}
