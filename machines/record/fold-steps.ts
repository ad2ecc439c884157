// Entries about steps, and choices.
//
// [fold-steps 1] The proper event is tried on the step chart; what the chart does not take is a
//   variance with everything that was in the way, and is applied as what happened.
// [fold-steps 2] What was entered already, by whomever, is no variance within the time of
//   corroboration and is done twice after it; it changes nothing either way.
// [fold-steps 3] A done step stays done against a contrary entry, which is a variance.
// [fold-steps 4] A step that is done without having been started started when it was done.
// [fold-steps 5] Effects are applied when a step is done, and only then.

import { nextState } from "../charts/chart-table.ts";
import { stepTable } from "../charts/step.chart.ts";
import type { StepChartEvent } from "../charts/step.chart.ts";
import type { TaskId } from "../procedure/ids.ts";
import { applyEffects, startingWorld } from "./apply-effects.ts";
import { assessStep, blocksBeforeDone } from "./assess-step.ts";
import type { EntryBody } from "./entry.ts";
import { noteBlocks, noteVariance } from "./note-variance.ts";
import { corroborationMsMax, stepToWrite } from "./run-in-fold.ts";
import type { Outcome, RunInFold, StepAct, StepInFold, Turn } from "./run-in-fold.ts";
import type { Block } from "./run-state.ts";

type StepBody = Extract<EntryBody, { readonly kind: StepAct["kind"] }>;
type BranchBody = Extract<EntryBody, { readonly kind: "branch.chosen" }>;

/** Folds an entry about a step. */
export function foldStep(runMutable: RunInFold, turn: Turn, body: StepBody): Outcome {
  const step = stepToWrite(runMutable, body.step);
  if (step === undefined) {
    noteVariance(runMutable, turn, "out-of-order");
    return "no-effect";
  }
  const act = { name: turn.name, kind: body.kind, atMs: turn.atMs, reason: reasonOf(body) };
  step.acts.push(act);
  const saidAtMs = whenSaid(step, body.kind);
  if (saidAtMs !== null) return repeat(runMutable, turn, saidAtMs);
  tryProperly(runMutable, turn, step, body.kind);
  return applyStepAct(runMutable, step, act) ? "applied" : "no-effect";
}

/** Folds a choice. */
export function foldBranch(runMutable: RunInFold, turn: Turn, body: BranchBody): Outcome {
  const step = stepToWrite(runMutable, body.step);
  const isKnown = step?.step.choice?.branches.some(({ id }) => id === body.branch) === true;
  if (step === undefined || !isKnown) {
    noteVariance(runMutable, turn, "out-of-order");
    return "no-effect";
  }
  const last = step.branchActs.at(-1);
  step.branchActs.push({ name: turn.name, branch: body.branch });
  if (last?.branch === body.branch) return "no-effect";
  if (last !== undefined && last.name.device !== turn.name.device) {
    noteVariance(runMutable, turn, "reports-differ", [{ on: "choice" }]);
  }
  applyBranches(runMutable, step);
  return "applied";
}

/** What a step has come to without an act that was taken out of its acts. */
export function refoldStep(runMutable: RunInFold, step: StepInFold): void {
  step.state = nextState(stepTable, step.state, { type: "step.reopened" }) ?? step.state;
  step.startedAtMs = null;
  step.finishedAtMs = null;
  step.reason = null;
  const place = runMutable.stepsDone.indexOf(step.step.id);
  for (const act of step.acts) applyStepAct(runMutable, step, act);
  if (place === -1 || step.state === "done") return;
  runMutable.stepsDone = runMutable.stepsDone.toSpliced(place, 1);
  runMutable.world = startingWorld(runMutable.index.procedure);
  for (const id of runMutable.stepsDone) {
    applyEffects(runMutable.world, (runMutable.steps.get(id) as StepInFold).step);
  }
}

/** What a step's choice, and the tasks in play, have come to. */
export function applyBranches(runMutable: RunInFold, changed: StepInFold): void {
  changed.branch = changed.branchActs.at(-1)?.branch ?? null;
  const tasksInPlay = new Set<TaskId>();
  for (const { step, branch } of runMutable.steps.values()) {
    const task = step.choice?.branches.find(({ id }) => id === branch)?.task ?? null;
    if (task !== null) tasksInPlay.add(task);
  }
  runMutable.tasksInPlay = tasksInPlay;
}

function reasonOf(body: StepBody): string | null {
  if (body.kind === "step.partly-done") return body.remains;
  return "reason" in body ? body.reason : null;
}

// When the step came to be what the entry says it is; null if it is not that.
function whenSaid(step: StepInFold, kind: StepAct["kind"]): number | null {
  const { state, startedAtMs, finishedAtMs } = step;
  if (kind === "step.started") {
    return state === "working" || state === "done" ? startedAtMs : null;
  }
  return kind === `step.${state}` ? finishedAtMs : null;
}

function repeat(runMutable: RunInFold, turn: Turn, saidAtMs: number): Outcome {
  if (turn.atMs - saidAtMs > corroborationMsMax) noteVariance(runMutable, turn, "done-twice");
  return "no-effect";
}

// Tries the proper event; notes what was in the way if the chart does not take it.
function tryProperly(
  runMutable: RunInFold,
  turn: Turn,
  step: StepInFold,
  kind: StepAct["kind"],
): void {
  const isNew = step.startedAtMs === null || step.state !== "working";
  const startBlocks = isNew ? assessStep(runMutable, step, turn.atMs).blocks : [];
  const blocks =
    kind === "step.done" ? [...startBlocks, ...blocksBeforeDone(runMutable, step)] : startBlocks;
  if (nextState(stepTable, step.state, properEvent(kind, blocks)) !== undefined) return;
  noteBlocks(runMutable, turn, withoutRepeats(blocks));
  if (blocks.length === 0) noteVariance(runMutable, turn, "out-of-order");
}

function properEvent(kind: StepAct["kind"], blocks: readonly Block[]): StepChartEvent {
  const unblocked = blocks.length === 0;
  if (kind === "step.started" || kind === "step.done") {
    return { type: kind, unblocked, forced: false };
  }
  return { type: kind, forced: false };
}

// A hold or a phase stands in the way of the start and of the end.
function withoutRepeats(blocks: readonly Block[]): Block[] {
  const blocksByText = new Map(blocks.map((block) => [JSON.stringify(block), block]));
  return [...blocksByText.values()];
}

// Applies an act as what happened; tells whether the chart took even that.
function applyStepAct(runMutable: RunInFold, step: StepInFold, act: StepAct): boolean {
  const next = nextState(stepTable, step.state, forcedEvent(act.kind));
  if (next === undefined) return false;
  const before = step.state;
  if (next === before) return true;
  step.state = next;
  step.reason = act.reason;
  if (next === "working") {
    step.startedAtMs ??= act.atMs;
    step.finishedAtMs = null;
    return true;
  }
  step.finishedAtMs = act.atMs;
  if (next !== "done") return true;
  step.startedAtMs ??= act.atMs;
  if (!runMutable.stepsDone.includes(step.step.id)) {
    runMutable.stepsDone = [...runMutable.stepsDone, step.step.id];
    applyEffects(runMutable.world, step.step);
  }
  return true;
}

function forcedEvent(kind: StepAct["kind"]): StepChartEvent {
  if (kind === "step.started" || kind === "step.done") {
    return { type: kind, unblocked: false, forced: true };
  }
  return { type: kind, forced: true };
}
