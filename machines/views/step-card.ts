// One step as a screen shows it: hazards, gates and who may open them, what is in its way, its time.
//
// [step-card 1] Hazards stand before the step: warnings, then cautions, then notes.
// [step-card 2] An act with something in its way stays possible; `against` says what it would go
//   against, and the screen must make it deliberate and say that it is recorded as a variance.
// [step-card 3] Time on hold is counted apart from time on the step.

import type { BranchId, PositionId, StepId } from "../procedure/ids.ts";
import type { CallOut, Hazard, Step } from "../procedure/step.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Block, HoldInRun, RunState, StepInRun, StepState } from "../record/run-state.ts";
import { formatQuantity } from "../units/format-quantity.ts";
import { formatSpan, formatSpanRange } from "./format-time.ts";
import { gateCards } from "./gate-card.ts";
import type { GateCard } from "./gate-card.ts";
import { mayActFor } from "./may-act.ts";
import type { Tapper } from "./may-act.ts";
import { blockWords, itemName, stepNumber } from "./words.ts";

/** A step as a screen shows it. */
export type StepCard = {
  readonly step: StepId;
  readonly lane: PositionId;
  /** Place in its lane, from 1, as it is called on the loop; and how many the lane has. */
  readonly number: number;
  readonly numberLast: number;
  readonly taskName: string;
  readonly contingency: boolean;
  readonly text: string;
  readonly siteName: string | null;
  readonly state: StepState;
  readonly hazards: readonly Hazard[];
  readonly gates: readonly GateCard[];
  readonly choice: ChoiceCard | null;
  /** "4 fasteners · 6 turns · 12 ft·lbf · Driver". */
  readonly fastenersWords: string | null;
  readonly repeatWords: string | null;
  readonly callOut: CallOut | null;
  /** What is in the way in words, gates left out: they show themselves. */
  readonly waitsFor: readonly string[];
  readonly time: StepTime;
  readonly acts: StepActs;
};

/** A question of the step and its answers. */
export type ChoiceCard = {
  readonly question: string;
  readonly branches: readonly {
    readonly branch: BranchId;
    readonly label: string;
    /** The task that the answer brings into play; null: none. */
    readonly bringsTask: string | null;
  }[];
  readonly chosen: BranchId | null;
};

/** The step's time against its range. */
export type StepTime = {
  /** Time on the step without time on hold; null before its start. */
  readonly workedSeconds: number | null;
  readonly heldSeconds: number;
  readonly minSeconds: number;
  readonly likelySeconds: number;
  readonly maxSeconds: number;
  readonly rangeWords: string;
  readonly pace: "not-started" | "within" | "late";
};

/** What may be tapped on the step. */
export type StepActs = {
  /** False: this device only looks on. */
  readonly mayAct: boolean;
  /** What comes next: `start` before it is started, `finish` after. */
  readonly next: "start" | "finish" | "none";
  /** What the next act would go against, in words; empty: nothing. */
  readonly against: readonly string[];
};

const hazardOrder = { warning: 0, caution: 1, note: 2 } as const;

/**
 * The card of one step.
 *
 * @param nowMs the hub's time, milliseconds since 1970
 * Errors: none; a step that the state does not know yet is shown as standing by.
 */
export function stepCard(
  index: ProcedureIndex,
  state: RunState,
  step: Step,
  viewer: { readonly tapper: Tapper; readonly nowMs: number },
): StepCard {
  const inRun = state.steps[step.id] ?? emptyStep;
  const task = index.tasksById.get(step.task);
  return {
    step: step.id,
    lane: step.lane,
    number: stepNumber(index, step.id),
    numberLast: index.stepsByLane.get(step.lane)?.length ?? 0,
    taskName: task?.name ?? step.task,
    contingency: task?.contingency === true,
    text: step.text,
    siteName: step.site === null ? null : (index.sitesById.get(step.site)?.name ?? step.site),
    state: inRun.state,
    hazards: step.hazards.toSorted((a, b) => hazardOrder[a.word] - hazardOrder[b.word]),
    gates: gateCards(index, inRun, step, viewer.tapper),
    choice: choiceCard(index, inRun, step),
    fastenersWords: fastenersWords(index, step),
    repeatWords: repeatWords(step),
    callOut: step.callOut,
    waitsFor: inRun.blocks
      .filter((block) => block.on !== "gate" && block.on !== "choice")
      .map((block) => blockWords(index, step.id, block)),
    time: stepTime(state, step, inRun, viewer.nowMs),
    acts: stepActs(index, inRun, step, viewer.tapper),
  };
}

/** Whether nothing more is to be done on a step in this state. */
export function isOver(state: StepState): boolean {
  return (
    state === "done" || state === "partly-done" || state === "deferred" || state === "not-performed"
  );
}

/** Whether a hold covers the step. */
export function holdCovers(hold: HoldInRun, step: Step): boolean {
  if (hold.state === "released") return false;
  if (hold.scope.covers === "everyone") return true;
  if (hold.scope.covers === "lane") return hold.scope.lane === step.lane;
  return hold.scope.task === step.task;
}

const emptyStep: StepInRun = {
  state: "standing-by",
  inPlay: true,
  blocks: [],
  startedAtMs: null,
  finishedAtMs: null,
  heldMs: 0,
  reason: null,
  gates: {},
  branch: null,
};

function choiceCard(index: ProcedureIndex, inRun: StepInRun, step: Step): ChoiceCard | null {
  if (step.choice === null) return null;
  return {
    question: step.choice.question,
    branches: step.choice.branches.map((branch) => ({
      branch: branch.id,
      label: branch.label,
      bringsTask:
        branch.task === null ? null : (index.tasksById.get(branch.task)?.name ?? branch.task),
    })),
    chosen: inRun.branch,
  };
}

function fastenersWords(index: ProcedureIndex, step: Step): string | null {
  if (step.fasteners === null) return null;
  const { count, turns, torque, tool } = step.fasteners;
  const unit = index.procedure.displayUnits.torque;
  const typed = formatQuantity(torque);
  const shown = unit === torque.unit ? typed : `${formatQuantity(torque, unit)} (${typed})`;
  return [
    count === 1 ? "1 fastener" : `${count} fasteners`,
    turns === 1 ? "1 turn" : `${turns} turns`,
    shown,
    itemName(index, tool),
  ].join(" · ");
}

function repeatWords(step: Step): string | null {
  if (step.repeat === null) return null;
  if ("until" in step.repeat) return `Repeat until ${step.repeat.until}`;
  const { times, everySeconds } = step.repeat;
  return `Repeat ${times} times, every ${formatSpan(everySeconds)}`;
}

function stepTime(state: RunState, step: Step, inRun: StepInRun, nowMs: number): StepTime {
  const { minSeconds, likelySeconds, maxSeconds } = step.duration;
  const held = inRun.heldMs + heldSinceLastEntryMs(state, step, inRun, nowMs);
  const worked =
    inRun.startedAtMs === null
      ? null
      : Math.max(0, (inRun.finishedAtMs ?? nowMs) - inRun.startedAtMs - held) / 1000;
  return {
    workedSeconds: worked,
    heldSeconds: held / 1000,
    minSeconds,
    likelySeconds,
    maxSeconds,
    rangeWords: formatSpanRange(minSeconds, maxSeconds),
    pace: worked === null ? "not-started" : worked > maxSeconds ? "late" : "within",
  };
}

// The fold counts a running hold up to the last entry; the screen's clock has gone on since.
function heldSinceLastEntryMs(
  state: RunState,
  step: Step,
  inRun: StepInRun,
  nowMs: number,
): number {
  if (inRun.state !== "working") return 0;
  const held = Object.values(state.holds).some((hold) => holdCovers(hold, step));
  const last = state.log.at(-1);
  return held && last !== undefined ? Math.max(0, nowMs - last.atMs) : 0;
}

function stepActs(index: ProcedureIndex, inRun: StepInRun, step: Step, tapper: Tapper): StepActs {
  const next = isOver(inRun.state) ? "none" : inRun.startedAtMs === null ? "start" : "finish";
  return {
    mayAct: mayActFor(tapper, step.lane),
    next,
    against: inRun.blocks
      .filter((block) => standsBefore(index, step, block, next))
      .map((block) => blockWords(index, step.id, block)),
  };
}

// The blocks of a step that has not started may name gates and choices that only close its end.
function standsBefore(
  index: ProcedureIndex,
  step: Step,
  block: Block,
  next: StepActs["next"],
): boolean {
  if (next !== "start") return true;
  if (block.on === "choice") return false;
  if (block.on !== "gate") return true;
  const gate = index.gatesByStep.get(step.id)?.find((candidate) => candidate.id === block.gate);
  return gate?.before !== "done";
}
