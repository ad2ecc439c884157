// Earliest times: when each step starts and ends if nobody waits longer than the procedure asks.
//
// Definition: the *moments* are the start and the end of each step in play, and one for each meet;
//   a *link* from one moment to another says that the second is not before the first plus a lag.
// [earliest 1] A moment is at the longest path to it: the latest of all links that lead to it.
// [earliest 2] A step starts after the step in play before it in its lane and after all its `after`
//   steps that are in play.
// [earliest 3] All steps of a meet start only when all of them are reached: when everything that
//   each of them waits for has ended.
// [earliest 4] A step starts only inside the windows that it needs; where no span is left, the
//   window is passed over and the step named.
// [earliest 5] What is known to have happened stays where it is; nothing else is before "not before".
// [earliest 6] Where links go in a circle there are no times: the circle is reported, with the
//   times of all that does not hang on it.

import { assert } from "../base/assert.ts";
import type { MeetId, StepId } from "../procedure/ids.ts";
import type { Moment } from "../procedure/procedure.ts";
import type { Step } from "../procedure/step.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";

/** Start and end of one step, seconds from the run's start. */
export type StepTimes = { readonly startSeconds: number; readonly endSeconds: number };

/** Times of all steps in play. */
export type Timetable = {
  /** Steps in play that have times, in the document's order. */
  readonly byStep: ReadonlyMap<StepId, StepTimes>;
  /** The last end; 0 if there is none. */
  readonly endSeconds: number;
  /** Steps that wait for each other in a circle; empty: none do. */
  readonly circle: readonly StepId[];
  /** Steps for which no span of a window that they need is left. */
  readonly withoutWindow: readonly StepId[];
};

/** What the times are computed from; all seconds are from the run's start. */
export type TimetableQuestion = {
  readonly isInPlay: (step: Step) => boolean;
  readonly durationSeconds: (step: Step) => number;
  /** Null: not known, to be computed. */
  readonly knownStartSeconds: (step: Step) => number | null;
  readonly knownEndSeconds: (step: Step) => number | null;
  /** Nothing that is not known happens before this. */
  readonly notBeforeSeconds: number;
};

/**
 * The earliest start and end of every step in play.
 *
 * Errors: none; a circle is reported in the answer.
 * Source: longest path in a directed acyclic graph in topological order (Kahn 1962; Cormen,
 *   Leiserson, Rivest & Stein, "Introduction to Algorithms", single-source shortest paths in
 *   directed acyclic graphs with negated weights). Checked in
 *   tests/unit/machines/time/earliest-times.test.ts against a Bellman-Ford written for the test.
 */
export function earliestTimes(index: ProcedureIndex, question: TimetableQuestion): Timetable {
  const steps = index.procedure.steps.filter(question.isInPlay);
  const network = linkMoments(index, steps, question);
  const seconds = new Array<number>(network.count).fill(question.notBeforeSeconds);
  const withoutWindow: StepId[] = [];
  const { order, left } = sortMoments(network);
  for (const moment of order) {
    const settled = settle(index, question, { network, moment, reached: seconds[moment] ?? 0 });
    if (settled.missed !== null) withoutWindow.push(settled.missed);
    seconds[moment] = settled.seconds;
    for (const link of network.links[moment] ?? []) {
      seconds[link.to] = Math.max(seconds[link.to] ?? 0, settled.seconds + link.lagSeconds);
    }
  }
  const byStep = timesByStep(network, seconds, new Set(left));
  return {
    byStep,
    endSeconds: [...byStep.values()].reduce((end, times) => Math.max(end, times.endSeconds), 0),
    circle: findCircle(network, left),
    withoutWindow,
  };
}

type Link = { readonly to: number; readonly lagSeconds: number };

// Moments are numbers: 2k and 2k + 1 are start and end of the k-th step, then come the meets.
type Network = {
  readonly steps: readonly Step[];
  readonly count: number;
  readonly links: readonly (readonly Link[])[];
};

function linkMoments(
  index: ProcedureIndex,
  steps: readonly Step[],
  question: TimetableQuestion,
): Network {
  const places = new Map(steps.map((step, place) => [step.id, place]));
  const meetMoments = new Map<MeetId, number>();
  for (const step of steps) {
    if (step.meet !== null && !meetMoments.has(step.meet)) {
      meetMoments.set(step.meet, 2 * steps.length + meetMoments.size);
    }
  }
  const count = 2 * steps.length + meetMoments.size;
  const links: Link[][] = Array.from({ length: count }, () => []);
  const linkMutable = (from: number, to: number, lagSeconds: number) =>
    links[from]?.push({ to, lagSeconds });
  for (const [place, step] of steps.entries()) {
    const meet = step.meet === null ? undefined : meetMoments.get(step.meet);
    const gathering = meet ?? 2 * place;
    if (meet !== undefined) linkMutable(meet, 2 * place, 0);
    linkMutable(2 * place, 2 * place + 1, question.durationSeconds(step));
    for (const before of stepsBefore(index, step, places)) {
      linkMutable(2 * before + 1, gathering, 0);
    }
  }
  for (const clock of index.procedure.clocks) {
    const from = momentNumber(clock.from, places);
    const to = momentNumber(clock.to, places);
    if (clock.atLeastSeconds === null || from === undefined || to === undefined) continue;
    linkMutable(from, to, clock.atLeastSeconds);
  }
  return { steps, count, links };
}

function momentNumber(moment: Moment, places: ReadonlyMap<StepId, number>): number | undefined {
  const place = places.get(moment.step);
  if (place === undefined) return undefined;
  return moment.at === "start" ? 2 * place : 2 * place + 1;
}

function stepsBefore(
  index: ProcedureIndex,
  step: Step,
  places: ReadonlyMap<StepId, number>,
): number[] {
  const before = step.after.map((id) => places.get(id));
  let previous = index.previousInLane.get(step.id);
  while (previous !== undefined && !places.has(previous.id)) {
    previous = index.previousInLane.get(previous.id);
  }
  if (previous !== undefined) before.push(places.get(previous.id));
  return before.filter((place) => place !== undefined);
}

// Kahn's order: a moment follows once all moments with a link to it have their place.
function sortMoments(network: Network): { order: readonly number[]; left: readonly number[] } {
  const waitsFor = new Array<number>(network.count).fill(0);
  for (const links of network.links) {
    for (const link of links) waitsFor[link.to] = (waitsFor[link.to] ?? 0) + 1;
  }
  const order = waitsFor.flatMap((count, moment) => (count === 0 ? [moment] : []));
  // The list grows while it is walked.
  for (const moment of order) {
    for (const link of network.links[moment] ?? []) {
      const count = (waitsFor[link.to] ?? 0) - 1;
      waitsFor[link.to] = count;
      if (count === 0) order.push(link.to);
    }
  }
  assert(order.length <= network.count, "no moment is placed twice");
  return { order, left: waitsFor.flatMap((count, moment) => (count > 0 ? [moment] : [])) };
}

type Reached = { readonly network: Network; readonly moment: number; readonly reached: number };

function settle(
  index: ProcedureIndex,
  question: TimetableQuestion,
  { network, moment, reached }: Reached,
): { readonly seconds: number; readonly missed: StepId | null } {
  const step = network.steps[moment >> 1];
  if (moment >= 2 * network.steps.length || step === undefined) {
    return { seconds: reached, missed: null };
  }
  const isStart = moment % 2 === 0;
  const known = isStart ? question.knownStartSeconds(step) : question.knownEndSeconds(step);
  if (known !== null) return { seconds: known, missed: null };
  if (!isStart || step.needsWindows.length === 0) return { seconds: reached, missed: null };
  const open = openFrom(index, step, reached);
  return { seconds: open ?? reached, missed: open === undefined ? step.id : null };
}

// The first second from `seconds` on at which all windows that the step needs are open at once.
function openFrom(index: ProcedureIndex, step: Step, seconds: number): number | undefined {
  const windows = step.needsWindows.map((id) => index.windowsById.get(id)?.spans ?? []);
  const candidates = [seconds, ...windows.flat().map((span) => span.fromSeconds)];
  const isOpen = (at: number) =>
    windows.every((spans) => spans.some((span) => span.fromSeconds <= at && at < span.toSeconds));
  const open = candidates.filter((at) => at >= seconds && isOpen(at));
  return open.length === 0 ? undefined : Math.min(...open);
}

function timesByStep(
  network: Network,
  seconds: readonly number[],
  left: ReadonlySet<number>,
): ReadonlyMap<StepId, StepTimes> {
  const byStep = new Map<StepId, StepTimes>();
  for (const [place, step] of network.steps.entries()) {
    const startSeconds = seconds[2 * place];
    const endSeconds = seconds[2 * place + 1];
    if (left.has(2 * place) || left.has(2 * place + 1)) continue;
    assert(startSeconds !== undefined && endSeconds !== undefined, "each moment has a time");
    byStep.set(step.id, { startSeconds, endSeconds });
  }
  return byStep;
}

// Every moment that is left has one before it that is left too; so walking back must come round.
function findCircle(network: Network, left: readonly number[]): readonly StepId[] {
  const first = left[0];
  if (first === undefined) return [];
  const isLeft = new Set(left);
  const cameFrom = new Map<number, number>();
  for (const moment of left) {
    for (const link of network.links[moment] ?? []) {
      if (isLeft.has(link.to)) cameFrom.set(link.to, moment);
    }
  }
  const walked: number[] = [];
  let moment: number | undefined = first;
  while (moment !== undefined && !walked.includes(moment)) {
    walked.push(moment);
    moment = cameFrom.get(moment);
  }
  assert(moment !== undefined, "a moment that is left hangs on another that is left");
  const around = walked.slice(walked.indexOf(moment)).reverse();
  const ids = around.flatMap((number) => network.steps[number >> 1]?.id ?? []);
  return [...new Set(ids)];
}
