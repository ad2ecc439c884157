// Tells a circle of a procedure's network, and what mends it, in the procedure's own parts.
//
// [tell 1] The legs of a witness go around, and their seconds sum up to what is missing.
// [tell 2] Only numbers that the procedure states are offered to be changed: durations, clocks, the run's
//   limit, windows; never the order of steps.

import { assert } from "../base/assert.ts";
import type { ClockId, StepId } from "../procedure/ids.ts";
import type { CircleLeg, UncertainCircle } from "./circle-of-edges.ts";
import type { BoundReason, ProcedureNetwork } from "./procedure-network.ts";
import { findRelaxations } from "./relaxation.ts";
import type { Relaxable, Relaxation } from "./relaxation.ts";
import type { TimeFinding, TimeMend, WitnessLeg } from "./time-finding.ts";

/** What a circle comes to in the procedure's parts. */
export type ToldCircle = Pick<
  TimeFinding,
  "clocks" | "steps" | "missingSeconds" | "witness" | "mends" | "mendsTogether"
> & {
  /** Whether the run's limit is in the circle. */
  readonly hasLimit: boolean;
  /** Steps whose windows are in the circle. */
  readonly windowSteps: readonly StepId[];
};

/**
 * Tells a circle and finds what mends it.
 *
 * Errors: none.
 */
export function tellCircle(told: ProcedureNetwork, circle: UncertainCircle): ToldCircle {
  const witness = circle.legs.map((leg) => tellLeg(told, leg));
  // A circle may be too long to be written out; what it counts is whole.
  const reasons = [...circle.timesByBound.keys()].map((place) => reasonAt(told, place));
  const mayRelax = ({ sort, place }: Relaxable) =>
    sort !== "bound" || statedSort(reasonAt(told, place)) !== null;
  const { singles, together } = findRelaxations(told.network, circle, mayRelax);
  return {
    clocks: clocksOf(reasons),
    steps: stepsOf(witness),
    missingSeconds: -circle.seconds,
    witness,
    mends: singles.map((relaxation) => tellMend(told, relaxation)),
    mendsTogether: (together ?? []).map((relaxation) => tellMend(told, relaxation)),
    hasLimit: reasons.some(({ sort }) => sort === "run-limit"),
    windowSteps: windowStepsOf(reasons),
  };
}

function reasonAt({ reasons }: ProcedureNetwork, place: number): BoundReason {
  const reason = reasons[place];
  assert(reason !== undefined, "every bound has its reason");
  return reason;
}

function stepAt({ stepsOfContingents }: ProcedureNetwork, place: number): StepId {
  const step = stepsOfContingents[place];
  assert(step !== undefined, "every contingent span has its step");
  return step;
}

function tellLeg(told: ProcedureNetwork, { from, to, seconds, why }: CircleLeg): WitnessLeg {
  const [fromPoint, toPoint] = [told.points[from], told.points[to]];
  assert(fromPoint !== undefined && toPoint !== undefined, "every point has its meaning");
  const reason =
    "bound" in why
      ? reasonAt(told, why.bound)
      : { sort: "duration" as const, step: stepAt(told, why.contingent), takes: why.takes };
  return { from: fromPoint, to: toPoint, seconds, why: reason };
}

function tellMend(told: ProcedureNetwork, { what, bySeconds }: Relaxation): TimeMend {
  if (what.sort !== "bound") {
    const span = told.network.contingents[what.place];
    assert(span !== undefined, "a span that is relaxed is in the list");
    const step = stepAt(told, what.place);
    const { leastSeconds, mostSeconds } = span;
    return what.sort === "least"
      ? changed({ sort: "duration-least", step }, leastSeconds, leastSeconds + bySeconds)
      : changed({ sort: "duration-most", step }, mostSeconds, mostSeconds - bySeconds);
  }
  const seconds = told.network.bounds[what.place]?.seconds ?? 0;
  const stated = statedSort(reasonAt(told, what.place));
  assert(stated !== null, "only what the procedure states is relaxed");
  const isLeast = stated.sort === "clock-at-least" || stated.sort === "window-opens";
  return isLeast
    ? changed(stated, -seconds, -seconds - bySeconds)
    : changed(stated, seconds, seconds + bySeconds);
}

function changed(what: TimeMend["what"], fromSeconds: number, toSeconds: number): TimeMend {
  return { what, fromSeconds, toSeconds };
}

// Null: an order, which is no number.
function statedSort(reason: BoundReason): TimeMend["what"] | null {
  switch (reason.sort) {
    case "clock-at-least":
    case "clock-at-most":
    case "window-opens":
    case "window-closes":
    case "run-limit":
      return reason;
    case "run-start":
    case "run-end":
    case "lane":
    case "after":
    case "meet":
      return null;
  }
}

// What runs out comes before what must be waited out.
function clocksOf(reasons: readonly BoundReason[]): ClockId[] {
  const atMost = reasons.filter(({ sort }) => sort === "clock-at-most");
  const atLeast = reasons.filter(({ sort }) => sort === "clock-at-least");
  const clocks = [...atMost, ...atLeast].flatMap((reason) =>
    "clock" in reason ? [reason.clock] : [],
  );
  return [...new Set(clocks)];
}

function windowStepsOf(reasons: readonly BoundReason[]): StepId[] {
  const steps = reasons.flatMap((reason) =>
    reason.sort === "window-opens" || reason.sort === "window-closes" ? [reason.step] : [],
  );
  return [...new Set(steps)];
}

function stepsOf(witness: readonly WitnessLeg[]): StepId[] {
  const steps = witness.flatMap(({ from, why }) => [
    ...("step" in from ? [from.step] : []),
    ...("step" in why ? [why.step] : []),
  ]);
  return [...new Set(steps)];
}
