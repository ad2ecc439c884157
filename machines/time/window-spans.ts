// Spans in which a step that needs windows can start.
//
// [window-spans 1] A span of a step is one in which all the windows that it needs are open at once.
// [window-spans 2] The span that the step comes to if everything takes longest stands first, then the later
//   ones, then the earlier ones.
// [window-spans 3] A step is without a span if, with everything at its most, every span has passed.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Step } from "../procedure/step.ts";
import { earliestTimes } from "./earliest-times.ts";
import type { Timetable } from "./earliest-times.ts";
import type { Span } from "./procedure-network.ts";

/** A step and its spans, in the order in which they are worth trying. */
export type StepSpans = { readonly step: Step; readonly spans: readonly Span[] };

/** A step that has no span left at the most; and whether it has none at likely durations either. */
export type StepWithoutSpan = { readonly step: Step; readonly isLostAtLikely: boolean };

/** Each step of the plan as it stands that needs windows, with its spans. Errors: none. */
export function spansForSteps(index: ProcedureIndex): readonly StepSpans[] {
  const atMost = timesOf(index, "maxSeconds");
  return stepsWithWindows(index).map((step) => {
    const spans = spansOf(index, step);
    const startSeconds = atMost.byStep.get(step.id)?.startSeconds ?? 0;
    const reached = spans.findIndex(({ toSeconds }) => toSeconds > startSeconds);
    const place = reached < 0 ? spans.length : reached;
    return { step, spans: [...spans.slice(place), ...spans.slice(0, place).reverse()] };
  });
}

/** Steps of the plan as it stands that have no span left at the most. Errors: none. */
export function stepsWithoutSpan(index: ProcedureIndex): readonly StepWithoutSpan[] {
  if (stepsWithWindows(index).length === 0) return [];
  const lostAtMost = new Set(timesOf(index, "maxSeconds").withoutWindow);
  const lostAtLikely = new Set(timesOf(index, "likelySeconds").withoutWindow);
  return stepsWithWindows(index)
    .filter(({ id }) => lostAtMost.has(id))
    .map((step) => ({ step, isLostAtLikely: lostAtLikely.has(step.id) }));
}

function stepsWithWindows(index: ProcedureIndex): readonly Step[] {
  const { steps } = index.procedure;
  return steps.filter(
    ({ id, needsWindows }) => needsWindows.length > 0 && !index.contingencySteps.has(id),
  );
}

function timesOf(index: ProcedureIndex, side: "likelySeconds" | "maxSeconds"): Timetable {
  return earliestTimes(index, {
    isInPlay: (step) => !index.contingencySteps.has(step.id),
    durationSeconds: ({ duration }) => duration[side],
    knownStartSeconds: () => null,
    knownEndSeconds: () => null,
    notBeforeSeconds: 0,
  });
}

function spansOf(index: ProcedureIndex, step: Step): readonly Span[] {
  const windows = step.needsWindows.map((id) => index.windowsById.get(id)?.spans ?? []);
  const [first = [], ...others] = windows;
  return others
    .reduce<readonly Span[]>(
      (spans, more) => spans.flatMap((a) => more.map((b) => both(a, b))),
      first,
    )
    .filter(({ fromSeconds, toSeconds }) => fromSeconds < toSeconds)
    .toSorted((a, b) => a.fromSeconds - b.fromSeconds);
}

function both(a: Span, b: Span): Span {
  return {
    fromSeconds: Math.max(a.fromSeconds, b.fromSeconds),
    toSeconds: Math.min(a.toSeconds, b.toSeconds),
  };
}
