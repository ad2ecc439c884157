// The network of a procedure: its steps, orders, clocks, windows and limit as points and bounds, each with
// its reason, so that what is found in the network can be told in the procedure's words.
//
// Definition: point 0 is the start of the run, point 1 its end; each step in play has a start and an end;
//   each meet of steps in play has a point at which all of it is reached.
// [procedure-network 1] How long a step takes is contingent between the least and the most of its range; a
//   step whose range is one number takes exactly that.
// [procedure-network 2] A step starts after the step in play before it in its lane and after all its
//   `after` steps in play; steps of a meet start when all of them are reached.
// [procedure-network 3] A clock binds if both its moments are moments of steps in play.
// [procedure-network 4] A step that needs windows starts inside the span that is chosen for it; the moment
//   at which the span closes counts as inside.
// [procedure-network 5] The run has ended when every lane has, and within its limit.
// [procedure-network 6] Every bound has its reason, and every contingent span its step.

import { assert } from "../base/assert.ts";
import type { ClockId, MeetId, StepId } from "../procedure/ids.ts";
import type { Moment } from "../procedure/procedure.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Step } from "../procedure/step.ts";
import type { Bound } from "./simple-network.ts";
import type { Contingent, UncertainNetwork } from "./uncertain-network.ts";

/** What a point of the network is. */
export type PointMeaning =
  | { readonly sort: "run-start" | "run-end" }
  | { readonly sort: "start" | "done"; readonly step: StepId }
  | { readonly sort: "meet"; readonly meet: MeetId };

/** Why a bound holds. */
export type BoundReason =
  /** Nothing happens before the run starts. */
  | { readonly sort: "run-start" }
  /** `step` waits for `before`, the step before it in its lane or one of its `after` steps. */
  | { readonly sort: "lane" | "after"; readonly step: StepId; readonly before: StepId }
  /** A step of a meet starts when the meet is reached. */
  | { readonly sort: "meet"; readonly meet: MeetId; readonly step: StepId }
  | { readonly sort: "clock-at-least" | "clock-at-most"; readonly clock: ClockId }
  | { readonly sort: "window-opens" | "window-closes"; readonly step: StepId }
  /** The run has not ended before the last step of a lane has. */
  | { readonly sort: "run-end"; readonly step: StepId }
  | { readonly sort: "run-limit" };

/** A network, and what its parts are in the procedure. */
export type ProcedureNetwork = {
  readonly network: UncertainNetwork;
  readonly points: readonly PointMeaning[];
  /** For each bound of the network its reason. */
  readonly reasons: readonly BoundReason[];
  /** For each contingent span its step. */
  readonly stepsOfContingents: readonly StepId[];
  readonly startPoints: ReadonlyMap<StepId, number>;
  readonly endPoints: ReadonlyMap<StepId, number>;
};

/** A range of seconds. */
export type Range = { readonly leastSeconds: number; readonly mostSeconds: number };

/** A span of time from the run's start, in seconds. */
export type Span = { readonly fromSeconds: number; readonly toSeconds: number };

/** Which of the procedure goes into its network. */
export type NetworkQuestion = {
  readonly isInPlay: (step: Step) => boolean;
  readonly rangeOf: (step: Step) => Range;
  /** In which span of its windows a step starts; null: windows are left out for it. */
  readonly spanOf: (step: Step) => Span | null;
  readonly hasClock: (clock: ClockId) => boolean;
  /** The run's limit in seconds; null: it is left out. */
  readonly runSecondsMax: number | null;
};

/**
 * The network of a procedure.
 *
 * Errors: none. A procedure that waits for itself gives a network with a circle of orders.
 */
export function networkOfProcedure(
  index: ProcedureIndex,
  question: NetworkQuestion,
): ProcedureNetwork {
  const building = placePoints(index, question);
  for (const step of building.steps) {
    linkStep(building, question, step);
    linkOrder(building, index, step);
    linkSpan(building, question, step);
  }
  linkClocks(building, index, question);
  linkLimit(building, question);
  const { points, bounds, contingents, reasons } = building;
  assert(bounds.length === reasons.length, "every bound has its reason");
  return {
    network: { points: points.length, bounds, contingents },
    points,
    reasons,
    stepsOfContingents: building.stepsOfContingents,
    startPoints: building.startPoints,
    endPoints: building.endPoints,
  };
}

type Building = {
  readonly steps: readonly Step[];
  readonly points: PointMeaning[];
  readonly bounds: Bound[];
  readonly reasons: BoundReason[];
  readonly contingents: Contingent[];
  readonly stepsOfContingents: StepId[];
  readonly startPoints: Map<StepId, number>;
  readonly endPoints: Map<StepId, number>;
  readonly meetPoints: Map<MeetId, number>;
};

const runStart = 0;
const runEnd = 1;

function placePoints(index: ProcedureIndex, question: NetworkQuestion): Building {
  const steps = index.procedure.steps.filter(question.isInPlay);
  const points: PointMeaning[] = [{ sort: "run-start" }, { sort: "run-end" }];
  const startPoints = new Map<StepId, number>();
  const endPoints = new Map<StepId, number>();
  const meetPoints = new Map<MeetId, number>();
  for (const { id: step } of steps) {
    startPoints.set(step, points.push({ sort: "start", step }) - 1);
    endPoints.set(step, points.push({ sort: "done", step }) - 1);
  }
  for (const { meet } of steps) {
    if (meet === null || meetPoints.has(meet)) continue;
    meetPoints.set(meet, points.push({ sort: "meet", meet }) - 1);
  }
  return {
    steps,
    points,
    bounds: [],
    reasons: [],
    contingents: [],
    stepsOfContingents: [],
    startPoints,
    endPoints,
    meetPoints,
  };
}

// `later` is at least `seconds` after `earlier`.
function linkAtLeast(
  { bounds, reasons }: Building,
  ends: { readonly earlier: number; readonly later: number; readonly seconds?: number },
  reason: BoundReason,
): void {
  bounds.push({ from: ends.later, to: ends.earlier, seconds: below(ends.seconds ?? 0) });
  reasons.push(reason);
}

function linkStep(building: Building, { rangeOf }: NetworkQuestion, step: Step): void {
  const activation = pointOf(building.startPoints, step.id);
  const end = pointOf(building.endPoints, step.id);
  building.contingents.push({ activation, end, ...rangeOf(step) });
  building.stepsOfContingents.push(step.id);
  linkAtLeast(building, { earlier: runStart, later: activation }, { sort: "run-start" });
}

function linkOrder(building: Building, index: ProcedureIndex, step: Step): void {
  const start = pointOf(building.startPoints, step.id);
  const meet = step.meet === null ? undefined : building.meetPoints.get(step.meet);
  if (step.meet !== null && meet !== undefined) {
    const reason = { sort: "meet", meet: step.meet, step: step.id } as const;
    linkAtLeast(building, { earlier: meet, later: start }, reason);
  }
  const later = meet ?? start;
  const linkBefore = (before: StepId, sort: "lane" | "after") => {
    const earlier = building.endPoints.get(before);
    if (earlier === undefined) return;
    linkAtLeast(building, { earlier, later }, { sort, step: step.id, before });
  };
  const previous = previousInPlay(building, index, step);
  if (previous !== undefined) linkBefore(previous.id, "lane");
  for (const before of step.after) linkBefore(before, "after");
}

function previousInPlay(
  { startPoints }: Building,
  index: ProcedureIndex,
  step: Step,
): Step | undefined {
  let previous = index.previousInLane.get(step.id);
  while (previous !== undefined && !startPoints.has(previous.id)) {
    previous = index.previousInLane.get(previous.id);
  }
  return previous;
}

function linkSpan(building: Building, { spanOf }: NetworkQuestion, step: Step): void {
  const span = step.needsWindows.length === 0 ? null : spanOf(step);
  if (span === null) return;
  const start = pointOf(building.startPoints, step.id);
  const opens = { earlier: runStart, later: start, seconds: span.fromSeconds };
  linkAtLeast(building, opens, { sort: "window-opens", step: step.id });
  building.bounds.push({ from: runStart, to: start, seconds: span.toSeconds });
  building.reasons.push({ sort: "window-closes", step: step.id });
}

function linkClocks(building: Building, index: ProcedureIndex, question: NetworkQuestion): void {
  for (const clock of index.procedure.clocks) {
    const earlier = momentPoint(building, clock.from);
    const later = momentPoint(building, clock.to);
    if (earlier === undefined || later === undefined || !question.hasClock(clock.id)) continue;
    if (clock.atLeastSeconds !== null) {
      const ends = { earlier, later, seconds: clock.atLeastSeconds };
      linkAtLeast(building, ends, { sort: "clock-at-least", clock: clock.id });
    }
    if (clock.atMostSeconds !== null) {
      building.bounds.push({ from: earlier, to: later, seconds: clock.atMostSeconds });
      building.reasons.push({ sort: "clock-at-most", clock: clock.id });
    }
  }
}

// The last step in play of each lane is enough: the others end before it.
function linkLimit(building: Building, { runSecondsMax }: NetworkQuestion): void {
  linkAtLeast(building, { earlier: runStart, later: runEnd }, { sort: "run-start" });
  const lastByLane = new Map(building.steps.map((step) => [step.lane, step.id]));
  for (const step of lastByLane.values()) {
    const earlier = pointOf(building.endPoints, step);
    linkAtLeast(building, { earlier, later: runEnd }, { sort: "run-end", step });
  }
  if (runSecondsMax === null) return;
  building.bounds.push({ from: runStart, to: runEnd, seconds: runSecondsMax });
  building.reasons.push({ sort: "run-limit" });
}

function momentPoint({ startPoints, endPoints }: Building, moment: Moment): number | undefined {
  return (moment.at === "start" ? startPoints : endPoints).get(moment.step);
}

function pointOf(points: ReadonlyMap<StepId, number>, step: StepId): number {
  const point = points.get(step);
  assert(point !== undefined, "every step in play has its points");
  return point;
}

function below(seconds: number): number {
  return seconds === 0 ? 0 : -seconds;
}
