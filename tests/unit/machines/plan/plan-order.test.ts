// Links, circles, closure, gaps: held against the walk's own closure and against schedules.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { createSeededRandom } from "../../../../machines/base/seeded-random.ts";
import { checkPlan, orderPlay } from "../../../../machines/plan/check-plan.ts";
import { createGapSeconds } from "../../../../machines/plan/clock-apart.ts";
import { areSideBySide, isBefore, mayWaitFor } from "../../../../machines/plan/happens-before.ts";
import { applyEdits } from "../../../../machines/plan/mend.ts";
import { linkSteps } from "../../../../machines/plan/step-links.ts";
import { indexProcedure } from "../../../../machines/procedure/procedure-index.ts";
import type { Procedure } from "../../../../machines/procedure/procedure.ts";
import { aRandomPlan } from "../../../support/a-random-plan.ts";
import { aProcedure } from "../../../support/a-procedure.ts";
import { aDuration, aStep } from "../../../support/procedure-parts.ts";
import { closeOrder } from "../../../support/walk-order.ts";
import { demoNames, demoProcedure } from "../../workers/hub/demo/demo-documents.ts";

const plans = fc.record({
  seed: fc.integer({ min: 0, max: 1e9 }),
  steps: fc.integer({ min: 3, max: 14 }),
});

test("[step-links 1] a step waits for its lane, for its afters and for what its mates wait for", () => {
  const met = { meet: "m" as never };
  const steps = [
    lane("a1", "a"),
    lane("a2", "a", met),
    lane("b1", "b"),
    lane("b2", "b", { ...met, after: ["c1", "gone"] }),
    lane("c1", "c"),
  ];
  const { linksInto } = linkSteps(steps);
  expect(linksInto.map((links) => links.map(({ from }) => from).sort())).toEqual([
    [],
    ["a1", "b1", "c1"],
    [],
    ["a1", "b1", "c1"],
    [],
  ]);
});

/** A step of a lane. */
function lane(id: string, name: string, more = {}) {
  return aStep(id, { lane: name as never, ...more });
}

/** A step of a lane that takes from so many to so many seconds, in a meet or in none. */
function timed(id: string, name: string, seconds: readonly [number, number], meet: string | null) {
  return lane(id, name, { duration: aDuration(seconds[0], seconds[0], seconds[1]), meet });
}

function checkClosure(procedure: Procedure): void {
  const { order, findings } = orderPlay(indexProcedure(procedure), []);
  if (findings.length > 0) return;
  const before = closeOrder(order.steps);
  for (const [a, first] of order.steps.entries()) {
    for (const [b, second] of order.steps.entries()) {
      expect(isBefore(order, a, b)).toBe(before.get(second.id)?.has(first.id));
      if (isBefore(order, a, b)) expect(a).toBeLessThan(b);
    }
  }
}

test("[happens-before 1], [happens-before 2] the order is the closure of the links, and numbers follow it", () => {
  fc.assert(fc.property(plans, ({ seed, steps }) => checkClosure(aRandomPlan(seed, steps))));
});

test.each(demoNames)("[happens-before 1] so it is for %s", (name) => {
  checkClosure(demoProcedure(name));
});

test("[deadlock 1], [deadlock 2] a circle is there exactly if the closure has a step before itself, and its mend takes it away", () => {
  let circles = 0;
  fc.assert(
    fc.property(plans, ({ seed, steps }) => {
      const procedure = aRandomPlan(seed, steps);
      const before = closeOrder(procedure.steps);
      const isStuck = procedure.steps.some((step) => before.get(step.id)?.has(step.id));
      const { order, findings } = orderPlay(indexProcedure(procedure), []);
      expect(findings.length > 0).toBe(isStuck);
      expect(order.steps.length).toBe(procedure.steps.length);
      if (!isStuck) return;
      circles += 1;
      for (const { witness } of findings) expectCircle(procedure, witness);
      const edits = findings.flatMap(({ mend }) => mend.edits);
      const mended = closeOrder(applyEdits(procedure, edits).steps);
      expect(procedure.steps.some((step) => mended.get(step.id)?.has(step.id))).toBe(false);
    }),
    { numRuns: 600 },
  );
  expect(circles).toBeGreaterThan(10);
});

function expectCircle(
  procedure: Procedure,
  witness: ReturnType<typeof checkPlan>[number]["witness"],
): void {
  if (witness?.sort !== "circle") throw new Error("A deadlock has its circle as a witness.");
  const { linksInto, numbers } = linkSteps(procedure.steps);
  for (const [place, link] of witness.links.entries()) {
    const next = witness.links[(place + 1) % witness.links.length];
    expect(next?.from).toBe(link.to);
    expect(linksInto[numbers.get(link.to) ?? -1]).toContainEqual(link);
  }
}

test("[deadlock 1] two lanes that come after each other are told with both links", () => {
  const steps = [lane("one", "ev1", { after: ["two"] }), lane("two", "ev2", { after: ["one"] })];
  const procedure = aProcedure({ steps, meets: [], clocks: [] });
  const [finding] = checkPlan(indexProcedure(procedure)).filter((f) => f.kind === "deadlock");
  expect(finding?.where.steps.toSorted()).toEqual(["one", "two"]);
  expect(finding?.says).toContain("EV1's “Do one” (one) comes after EV2's “Do two” (two)");
});

/** When each step starts and ends if everybody starts as soon as the order lets them. */
function scheduleOf(procedure: Procedure, seconds: ReadonlyMap<string, number>) {
  const { order } = orderPlay(indexProcedure(procedure), []);
  const starts: number[] = [];
  for (const [number] of order.steps.entries()) {
    const ends = order.steps.map(
      (step, other) => (starts[other] ?? 0) + (seconds.get(step.id) ?? 0),
    );
    const before = ends.filter((_, other) => isBefore(order, other, number));
    starts.push(Math.max(0, ...before));
  }
  return { order, starts };
}

test("[clock-apart 1] no durations bring two steps closer than their gap", () => {
  let told = 0;
  const any = fc.record({ plan: plans, draw: fc.nat() });
  fc.assert(
    fc.property(any, ({ plan, draw }) => {
      const procedure = aRandomPlan(plan.seed, plan.steps);
      const random = createSeededRandom(draw);
      const seconds = new Map<string, number>(
        procedure.steps.map(({ id, duration: { minSeconds, maxSeconds } }) => {
          const share = [0, 1, random.nextFraction()][random.nextBelow(3)] ?? 0;
          return [id, minSeconds + share * (maxSeconds - minSeconds)];
        }),
      );
      const { order, starts } = scheduleOf(procedure, seconds);
      const gapSeconds = createGapSeconds(indexProcedure(procedure), order);
      for (const [a, first] of order.steps.entries()) {
        for (const b of order.steps.keys()) {
          if (!areSideBySide(order, a, b)) continue;
          const gap = (starts[b] ?? 0) - (starts[a] ?? 0) - (seconds.get(first.id) ?? 0);
          expect(gapSeconds(a, b)).toBeLessThanOrEqual(gap + 1e-6);
          if (gapSeconds(a, b) >= 0) told += 1;
        }
      }
    }),
    { numRuns: 500 },
  );
  expect(told).toBeGreaterThan(20);
});

test("[clock-apart 1] lanes that part at a meet are kept apart by what comes after it alone", () => {
  const steps = [
    timed("a0", "ev1", [10, 5000], null),
    timed("a1", "ev1", [10, 20], "m"),
    timed("a2", "ev1", [10, 30], null),
    timed("b1", "ev2", [60, 90], "m"),
    timed("b2", "ev2", [10, 30], null),
  ];
  const index = indexProcedure(
    aProcedure({ steps, clocks: [], meets: [{ id: "m" as never, name: "M" }] }),
  );
  const { order } = orderPlay(index, []);
  const number = (id: string) => order.numbers.get(id as never) ?? -1;
  const gapSeconds = createGapSeconds(index, order);
  expect(gapSeconds(number("a2"), number("b2"))).toBe(10);
  expect(gapSeconds(number("b2"), number("a2"))).toBeLessThan(0);
});

test("[clock-apart 2] a step that waits for a window has no latest time", () => {
  const quick = { duration: aDuration(1, 1, 1) };
  const slow = { duration: aDuration(500, 500, 500) };
  const gapWith = (needsWindows: readonly string[]) => {
    const steps = [
      lane("a", "ev1", { ...quick, needsWindows }),
      lane("b", "ev2", slow),
      lane("c", "ev2"),
    ];
    const index = indexProcedure(aProcedure({ steps, clocks: [] }));
    const { order } = orderPlay(index, []);
    const [a, c] = ["a", "c"].map((id) => order.numbers.get(id as never) ?? -1);
    return createGapSeconds(index, order)(a ?? -1, c ?? -1);
  };
  expect(gapWith([])).toBe(499);
  expect(gapWith(["lights-on"])).toBe(-Infinity);
});

test("[mend 2] a step may be made to wait for another exactly if that brings no circle", () => {
  fc.assert(
    fc.property(plans, ({ seed, steps }) => {
      const procedure = aRandomPlan(seed, steps);
      const { order, findings } = orderPlay(indexProcedure(procedure), []);
      fc.pre(findings.length === 0);
      for (const [a, first] of order.steps.entries()) {
        for (const [b, second] of order.steps.entries()) {
          if (a === b) continue;
          const edit = { edit: "add-after", step: second.id, after: first.id } as const;
          const closed = closeOrder(applyEdits(procedure, [edit]).steps);
          const isStuck = order.steps.some((step) => closed.get(step.id)?.has(step.id));
          expect(mayWaitFor(order, b, a)).toBe(!isStuck);
        }
      }
    }),
    { numRuns: 60 },
  );
});
