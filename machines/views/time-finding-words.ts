// The time check's findings in words, as findings like all others.
//
// [time-finding-words 1] Each says which bound breaks, by how much, along which steps, and the smallest
//   change that mends it.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { placeOf } from "../plan/finding.ts";
import type { Finding, FindingKind } from "../plan/finding.ts";
import { listWords, stepWords } from "../plan/plan-words.ts";
import type { TimeFinding, TimeMend, WitnessLeg } from "../time/time-finding.ts";

/** A time finding as a finding. Errors: none. */
export function wordTimeFinding(index: ProcedureIndex, found: TimeFinding): Finding {
  const { steps, clocks, windows, deferring } = found;
  return {
    kind: kinds[found.kind],
    grade: found.grade,
    where: placeOf({ steps, clocks, windows, tasks: deferring }),
    says: [subjectWords(index, found), ...legWords(index, found), likelyWords(found)].join(" "),
    witness: null,
    mend: { says: mendWords(index, found), edits: [] },
    onlyWith: found.onlyWith,
  };
}

const kinds: Readonly<Record<TimeFinding["kind"], FindingKind>> = {
  "order-circle": "deadlock",
  "clock-cannot-be-kept": "clock-not-kept",
  "run-limit-cannot-be-kept": "run-too-long",
  "window-can-be-missed": "window-missed",
};

function subjectWords(index: ProcedureIndex, found: TimeFinding): string {
  const { kind, clocks, windows, steps, missingSeconds } = found;
  const [clock, window, step] = [clocks[0], windows[0], steps[0]];
  const missing = `${minutes(missingSeconds)} are missing`;
  if (kind === "order-circle") return "Steps wait for each other, so that nothing has a time.";
  if (kind === "run-limit-cannot-be-kept") {
    return `The run can take longer than its limit of ${minutes(index.procedure.limits.runSecondsMax)}: ${missing} at the worst.`;
  }
  if (kind === "clock-cannot-be-kept") {
    const name = clock === undefined ? "A clock" : (index.clocksById.get(clock)?.name ?? clock);
    return `“${name}” can't be kept whatever is started when: ${missing} at the worst.`;
  }
  const name = window === undefined ? "A window" : (index.windowsById.get(window)?.name ?? window);
  const who = step === undefined ? "a step" : stepWords(index, step);
  return `“${name}” can be missed by ${who}: ${missing} at the worst.`;
}

// The steps that take their most tell the story; those that take their least are the other side of it.
function legWords(index: ProcedureIndex, { witness }: TimeFinding): readonly string[] {
  const slow = witness.flatMap((leg) => durationStep(leg, "most"));
  if (slow.length === 0) return [];
  const shown = slow.slice(0, 3).map((id) => stepWords(index, id));
  const more = slow.length > shown.length ? ` and ${slow.length - shown.length} more` : "";
  return [`That is so if ${listWords(shown)}${more} take their longest.`];
}

function durationStep({ why }: WitnessLeg, takes: "least" | "most") {
  return why.sort === "duration" && why.takes === takes ? [why.step] : [];
}

function likelyWords({ isKeptAtLikely }: TimeFinding): string {
  return isKeptAtLikely ? "At likely durations it is kept." : "It breaks at likely durations too.";
}

function mendWords(index: ProcedureIndex, found: TimeFinding): string {
  const { mends, mendsTogether, deferring, missingSeconds } = found;
  const [least] = mends;
  const words = least === undefined ? [] : [changeWords(index, least)];
  if (least === undefined && mendsTogether.length > 0) {
    words.push(mendsTogether.map((mend) => changeWords(index, mend)).join(" And: "));
  }
  if (deferring.length > 0) {
    const names = deferring.map((id) => `“${index.tasksById.get(id)?.name ?? id}”`);
    words.unshift(`Be ready to defer ${listWords(names)}.`);
  }
  return words.length === 0
    ? `Allow ${minutes(missingSeconds)} more, or do less.`
    : words.join(" Or: ");
}

function changeWords(index: ProcedureIndex, { what, fromSeconds, toSeconds }: TimeMend): string {
  const change = `from ${minutes(fromSeconds)} to ${minutes(toSeconds)}`;
  switch (what.sort) {
    case "clock-at-least":
    case "clock-at-most": {
      const name = index.clocksById.get(what.clock)?.name ?? what.clock;
      return `Set “${name}” ${what.sort === "clock-at-least" ? "at least" : "at most"} ${change}.`;
    }
    case "run-limit":
      return `Set the run's limit ${change}.`;
    case "window-opens":
    case "window-closes": {
      const verb = what.sort === "window-opens" ? "open" : "close";
      return `Have the window of ${stepWords(index, what.step)} ${verb} at ${minutes(toSeconds)} instead of ${minutes(fromSeconds)}.`;
    }
    case "duration-least":
    case "duration-most": {
      const bound = what.sort === "duration-least" ? "least" : "longest";
      return `Bring the ${bound} time of ${stepWords(index, what.step)} ${change}.`;
    }
  }
}

function minutes(seconds: number): string {
  return `${Math.round(seconds / 6) / 10} min`;
}
