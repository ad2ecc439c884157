// The time check: can every clock, window and limit be kept, whatever the durations turn out to be?
//
// Definition: the plan *as it stands* has every step in play but those of contingency tasks.
// [time 1] What is found cannot be kept in the worst case by any choice of starts that reacts only to what
//   has happened; what is not found can.
// [time 2] A clock or the limit that is kept once deferrable tasks are deferred is a doubt, if at likely
//   durations nothing need be deferred; the fewest tasks found are named, the least important first. A
//   task is not deferred to be rid of a clock of its own.
// [time 3] Contingency tasks come up or not, and nobody knows before: each of their steps may take
//   anything from no time to its most. What is kept without them and not with them is a doubt.
// [time 4] For a step that needs windows one span is chosen before the run, the one that it would come to
//   if all took longest, or another that works; whoever may choose on the way can do better, so what no
//   choice beforehand keeps is a doubt, and a fault only where no span is left even at likely durations.
// [time 5] Each finding is about one clock, limit or window; it is left out when the next is looked for, so
//   that one fault does not hide another.
// [time 6] Steps that wait for each other are found first, and alone: nothing has a time then.
//
// Left out on purpose: recurring checks and gates take no time of their own; windows of contingency steps;
// resources, which the plan's order must settle.

import { assert } from "../base/assert.ts";
import type { ClockId, StepId, TaskId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Task } from "../procedure/procedure.ts";
import type { Step } from "../procedure/step.ts";
import { checkControllability, isControllable } from "./controllability.ts";
import type { UncertainCircle } from "./circle-of-edges.ts";
import { networkOfProcedure } from "./procedure-network.ts";
import type { ProcedureNetwork, Range, Span } from "./procedure-network.ts";
import { tellCircle } from "./tell-circle.ts";
import type { ToldCircle } from "./tell-circle.ts";
import type { TimeFinding } from "./time-finding.ts";
import { findWorstCircle } from "./worst-circle.ts";
import { spansForSteps, stepsWithoutSpan } from "./window-spans.ts";

/**
 * Checks the times of a procedure that the reader has passed.
 *
 * Errors: none. Faults come first.
 * Source: see `checkControllability`.
 */
export function checkTime(index: ProcedureIndex): readonly TimeFinding[] {
  const circle = findOrderCircle(index);
  if (circle !== null) return [circle];
  const plan: Part = {
    index,
    clocks: new Set(index.procedure.clocks.map(({ id }) => id)),
    hasLimit: true,
    spans: new Map(),
    deferred: new Set(),
    mayComeUp: new Set(),
    rangeOf: ({ duration }) => ({
      leastSeconds: duration.minSeconds,
      mostSeconds: duration.maxSeconds,
    }),
  };
  const bounds = findAll(plan, []);
  const windows = findMissedWindows(bounds.rest);
  const contingencies = findWithContingencies(plan, bounds.rest);
  const all = [...bounds.findings, ...windows, ...contingencies];
  return [
    ...all.filter(({ grade }) => grade === "fault"),
    ...all.filter(({ grade }) => grade === "doubt"),
  ];
}

/** What of the procedure is asked about. */
type Part = {
  readonly index: ProcedureIndex;
  readonly clocks: ReadonlySet<ClockId>;
  readonly hasLimit: boolean;
  readonly spans: ReadonlyMap<StepId, Span>;
  readonly deferred: ReadonlySet<TaskId>;
  /** Contingency tasks that may come up. */
  readonly mayComeUp: ReadonlySet<TaskId>;
  readonly rangeOf: (step: Step) => Range;
};

function networkOf(part: Part): ProcedureNetwork {
  const { index, clocks, hasLimit, spans, deferred, mayComeUp, rangeOf } = part;
  const isContingency = (step: Step) => index.contingencySteps.has(step.id);
  return networkOfProcedure(index, {
    isInPlay: (step) => (isContingency(step) ? mayComeUp.has(step.task) : !deferred.has(step.task)),
    rangeOf: (step) => {
      const range = rangeOf(step);
      return isContingency(step) ? { ...range, leastSeconds: 0 } : range;
    },
    spanOf: (step) => spans.get(step.id) ?? null,
    hasClock: (clock) => clocks.has(clock),
    runSecondsMax: hasLimit ? index.procedure.limits.runSecondsMax : null,
  });
}

// The worst circle says most; where there is none, that of the check of controllability.
function circleIn({ network, ...told }: ProcedureNetwork): UncertainCircle | null {
  if (isControllable(network, "stopping")) return null;
  return findWorstCircle({ network, ...told }) ?? checkControllability(network, "stopping").circle;
}

function isKept(part: Part): boolean {
  return isControllable(networkOf(part).network, "stopping");
}

function findOrderCircle(index: ProcedureIndex): TimeFinding | null {
  const network = networkOfProcedure(index, {
    isInPlay: () => true,
    // Whatever time they take: steps that wait for each other wait for ever.
    rangeOf: () => ({ leastSeconds: 1, mostSeconds: 1 }),
    spanOf: () => null,
    hasClock: () => false,
    runSecondsMax: null,
  });
  const circle = findWorstCircle(network);
  if (circle === null) return null;
  const { steps, missingSeconds, witness } = tellCircle(network, circle);
  return {
    ...plainFinding,
    kind: "order-circle",
    grade: "fault",
    steps,
    missingSeconds,
    witness,
  };
}

const plainFinding = {
  clocks: [],
  windows: [],
  onlyWith: [],
  isKeptAtLikely: false,
  deferring: [],
  mends: [],
  mendsTogether: [],
} as const;

type Found = {
  readonly findings: readonly TimeFinding[];
  /** The part without what was found: it is kept. */
  readonly rest: Part;
};

function findAll(whole: Part, onlyWith: readonly TaskId[]): Found {
  const findings: TimeFinding[] = [];
  let rest = whole;
  for (;;) {
    const network = networkOf(rest);
    const circle = circleIn(network);
    if (circle === null) return { findings, rest };
    const found = judgeCircle(rest, tellCircle(network, circle), onlyWith);
    findings.push(found);
    rest = without(rest, found);
    assert(findings.length <= whole.clocks.size + whole.spans.size + 1, "each is found once");
  }
}

function without(part: Part, { kind, clocks, steps }: TimeFinding): Part {
  const [clock] = clocks;
  if (kind === "clock-cannot-be-kept") {
    return { ...part, clocks: new Set([...part.clocks].filter((id) => id !== clock)) };
  }
  if (kind === "run-limit-cannot-be-kept") return { ...part, hasLimit: false };
  const spans = new Map([...part.spans].filter(([step]) => !steps.includes(step)));
  return { ...part, spans };
}

function judgeCircle(part: Part, told: ToldCircle, onlyWith: readonly TaskId[]): TimeFinding {
  const { hasLimit, windowSteps, ...parts } = told;
  const kind =
    windowSteps.length > 0
      ? "window-can-be-missed"
      : told.clocks.length > 0
        ? "clock-cannot-be-kept"
        : "run-limit-cannot-be-kept";
  // Only what the circle is about, so that nothing else speaks for or against deferring.
  const about: Part = { ...part, clocks: new Set(told.clocks), hasLimit, spans: new Map() };
  const isKeptAtLikely = isKept({ ...about, rangeOf: likelyOf });
  const deferring = kind === "window-can-be-missed" ? [] : findDeferring(about);
  const isDoubt =
    kind === "window-can-be-missed" ||
    onlyWith.length > 0 ||
    (isKeptAtLikely && deferring.length > 0);
  const windows = windowSteps.flatMap((id) => part.index.stepsById.get(id)?.needsWindows ?? []);
  return {
    ...parts,
    kind,
    grade: isDoubt ? "doubt" : "fault",
    steps: [...new Set([...windowSteps, ...parts.steps])],
    windows: [...new Set(windows)],
    onlyWith,
    isKeptAtLikely,
    deferring,
  };
}

function likelyOf({ duration }: Step): Range {
  return { leastSeconds: duration.likelySeconds, mostSeconds: duration.likelySeconds };
}

// Defers the least important first until it is kept, then takes back what was not needed, the most
// important first. Empty: deferring is no way.
function findDeferring(part: Part): readonly TaskId[] {
  const { index, clocks } = part;
  const ofClocks = index.procedure.clocks
    .filter(({ id }) => clocks.has(id))
    .flatMap(({ from, to }) => [from.step, to.step].map((id) => index.stepsById.get(id)?.task));
  const tasks = index.procedure.tasks
    .filter((task) => task.deferrable && !task.contingency && !ofClocks.includes(task.id))
    .sort(leastImportantFirst)
    .map(({ id }) => id);
  const keptWithout = (deferred: readonly TaskId[]) =>
    isKept({ ...part, deferred: new Set(deferred) });
  const needed = tasks.findIndex((_, place) => keptWithout(tasks.slice(0, place + 1)));
  let deferring = needed < 0 ? [] : tasks.slice(0, needed + 1);
  for (const task of [...deferring].reverse()) {
    const fewer = deferring.filter((other) => other !== task);
    if (fewer.length > 0 && keptWithout(fewer)) deferring = fewer;
  }
  return deferring;
}

function leastImportantFirst(a: Task, b: Task): number {
  return Number(b.getAhead) - Number(a.getAhead) || b.priority - a.priority;
}

function findMissedWindows(kept: Part): readonly TimeFinding[] {
  const { index } = kept;
  const lost = stepsWithoutSpan(index);
  const isLost = new Set(lost.map(({ step }) => step.id));
  const findings = lost.map(({ step, isLostAtLikely }): TimeFinding => ({
    ...plainFinding,
    kind: "window-can-be-missed",
    grade: isLostAtLikely ? "fault" : "doubt",
    windows: step.needsWindows,
    steps: [step.id],
    missingSeconds: 0,
    witness: [],
    isKeptAtLikely: !isLostAtLikely,
  }));
  const choices = spansForSteps(index).filter(({ step }) => !isLost.has(step.id));
  if (choices.length === 0) return findings;
  const first = new Map(choices.map(({ step, spans }) => [step.id, spans[0]]));
  const spans = new Map([...first].flatMap(([id, span]) => (span ? [[id, span] as const] : [])));
  const chosen = chooseSpans({ ...kept, spans }, choices);
  return [...findings, ...findAll(chosen, []).findings];
}

type Choice = { readonly step: Step; readonly spans: readonly Span[] };

// Tries other spans for the steps of the circle, one at a time, as long as that leads to one that is kept.
function chooseSpans(part: Part, choices: readonly Choice[]): Part {
  const network = networkOf(part);
  const circle = circleIn(network);
  if (circle === null) return part;
  const { windowSteps } = tellCircle(network, circle);
  for (const { step, spans } of choices.filter(({ step }) => windowSteps.includes(step.id))) {
    for (const span of spans) {
      const other = { ...part, spans: new Map([...part.spans, [step.id, span]]) };
      if (isKept(other)) return other;
    }
  }
  return part;
}

// `kept` is what the plan keeps without contingencies, so that nothing is told twice; the limit, if it
// was only kept by deferring, is asked about again with everything deferred that can be.
function findWithContingencies(plan: Part, kept: Part): readonly TimeFinding[] {
  const tasks = plan.index.procedure.tasks.filter(({ contingency }) => contingency);
  if (tasks.length === 0) return [];
  const all = new Set(tasks.map(({ id }) => id));
  const asked = [kept];
  if (!kept.hasLimit) {
    const deferrable = plan.index.procedure.tasks.filter(({ deferrable }) => deferrable);
    const deferred = new Set(deferrable.map(({ id }) => id));
    const limit = { ...kept, hasLimit: true, clocks: new Set<ClockId>(), deferred };
    if (isKept(limit)) asked.push(limit);
  }
  return asked.flatMap((part) => {
    if (isKept({ ...part, mayComeUp: all })) return [];
    const alone = tasks.flatMap(
      ({ id }) => findAll({ ...part, mayComeUp: new Set([id]) }, [id]).findings,
    );
    return alone.length > 0 ? alone : findAll({ ...part, mayComeUp: all }, [...all]).findings;
  });
}
