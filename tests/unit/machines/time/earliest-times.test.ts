// Earliest times against a slow reference: Bellman-Ford on the same conditions, written down anew.
//
// Source of the reference: Bellman 1958 and Ford 1956, as in Cormen, Leiserson, Rivest & Stein,
// "Introduction to Algorithms", chapter on single-source shortest paths (from memory): relax every
// edge as often as there are nodes; if an edge still gives way then, there is a positive cycle.

import { array, assert, constantFrom, integer, nat, option, property, record } from "fast-check";
import { expect, test } from "vitest";
import type { ClockId, MeetId, PositionId, StepId } from "../../../../machines/procedure/ids.ts";
import type { Clock } from "../../../../machines/procedure/procedure.ts";
import type { Step } from "../../../../machines/procedure/step.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import { plannedTimes } from "../../../../machines/time/planned-times.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aDuration, aStep } from "../../../support/procedure-parts.ts";

const lanes = ["ev1", "ev2", "iv"] as PositionId[];

const someStep = record({
  lane: constantFrom(...lanes),
  likely: integer({ min: 1, max: 50 }),
  after: array(nat(), { maxLength: 2 }),
  // Mostly earlier steps, so that there are procedures without a circle to compare.
  mayPointAhead: integer({ min: 0, max: 19 }).map((chance) => chance === 0),
  meet: option(constantFrom("m1", "m2", "m3"), { nil: null, freq: 3 }),
});

const someSteps = array(someStep, { minLength: 1, maxLength: 14 }).map((seeds) =>
  seeds.map((seed, place): Step => {
    const reach = seed.mayPointAhead ? seeds.length : place;
    const after = reach === 0 ? [] : seed.after.map((number) => `s${number % reach}` as StepId);
    return aStep(`s${place}`, {
      lane: seed.lane,
      duration: aDuration(0, seed.likely, 99),
      after,
      meet: seed.meet as MeetId | null,
    });
  }),
);

const someClock = record({ from: nat(), to: nat(), atLeast: nat({ max: 80 }) });

test("[earliest 1] [earliest 2] [earliest 3] any steps have the times that Bellman-Ford gives", () => {
  let compared = 0;
  let circles = 0;
  assert(
    property(someSteps, option(someClock, { nil: null, freq: 2 }), (steps, seed) => {
      const clocks = seed === null ? [] : [aClock(steps, seed)];
      const meets = ["m1", "m2", "m3"].map((id) => ({ id: id as MeetId, name: id }));
      const times = plannedTimes(indexProcedure(aProcedure({ steps, clocks, meets, windows: [] })));
      const reference = bellmanFord(steps, clocks);
      expect(times.circle.length > 0).toBe(reference === undefined);
      if (reference === undefined) {
        circles += 1;
        return;
      }
      compared += 1;
      for (const step of steps) {
        expect(times.byStep.get(step.id)).toEqual({
          startSeconds: reference.get(`start ${step.id}`),
          endSeconds: reference.get(`done ${step.id}`),
        });
      }
    }),
    { numRuns: 1500 },
  );
  // Both sorts of procedures came up often enough for the comparison to mean something.
  expect(compared).toBeGreaterThan(100);
  expect(circles).toBeGreaterThan(100);
});

function aClock(
  steps: readonly Step[],
  seed: { from: number; to: number; atLeast: number },
): Clock {
  const [early, late] = [seed.from % steps.length, seed.to % steps.length].toSorted(
    (a, b) => a - b,
  );
  return {
    id: "clock" as ClockId,
    name: "clock",
    sort: "other",
    from: { step: `s${early}` as StepId, at: "start" },
    to: { step: `s${late}` as StepId, at: "done" },
    atLeastSeconds: seed.atLeast,
    atMostSeconds: null,
    why: "test",
  };
}

type Edge = readonly [from: string, to: string, seconds: number];

// No meet moments and no order here: every step of a meet hangs directly on all that any of its
// steps waits for. A circle of zero length can't be, for every step takes a second at least.
function bellmanFord(
  steps: readonly Step[],
  clocks: readonly Clock[],
): ReadonlyMap<string, number> | undefined {
  const edges: Edge[] = [];
  for (const step of steps) {
    edges.push([`start ${step.id}`, `done ${step.id}`, step.duration.likelySeconds]);
    const partners = steps.filter(
      (other) => other.id === step.id || (step.meet !== null && other.meet === step.meet),
    );
    for (const partner of partners) {
      const lane = steps.filter((other) => other.lane === partner.lane);
      const previous = lane[lane.indexOf(partner) - 1];
      const before = [...partner.after, ...(previous === undefined ? [] : [previous.id])];
      for (const id of before) edges.push([`done ${id}`, `start ${step.id}`, 0]);
    }
  }
  for (const { from, to, atLeastSeconds } of clocks) {
    edges.push([`${from.at} ${from.step}`, `${to.at} ${to.step}`, atLeastSeconds ?? 0]);
  }
  const seconds = new Map<string, number>(
    steps.flatMap((step) => [[`start ${step.id}`, 0] as const, [`done ${step.id}`, 0] as const]),
  );
  for (let round = 0; round <= seconds.size; round += 1) {
    let gaveWay = false;
    for (const [from, to, lag] of edges) {
      const reached = (seconds.get(from) ?? 0) + lag;
      if (reached > (seconds.get(to) ?? 0)) {
        seconds.set(to, reached);
        gaveWay = true;
      }
    }
    if (!gaveWay) return seconds;
  }
  return undefined;
}
