// What is in a step's way.
//
// Definition: a step is *finished* if it is done, partly done, deferred or not performed.
// Definition: a step is *in play* unless it belongs to a contingency task that no choice has named.
// [assess-step 1] Before its start: the phase; the step before it in its lane and those it comes
//   after, unless finished or out of play; every other lane of its meet, until it has arrived;
//   items that are not where its effects take them from; conditions; windows; gates before the
//   start; holds.
// [assess-step 2] Before it may be called done: the phase; gates before done; its choice; holds.
// [assess-step 3] A lane has arrived at a meet when the step before its first step of the meet is
//   finished, or that step itself has been started.
// [assess-step 4] A lane moves only when no hold covers it: not everyone, not the lane, not the
//   task.

import { nextState } from "../charts/chart-table.ts";
import { stepTable } from "../charts/step.chart.ts";
import type { StepReadiness } from "../charts/step.chart.ts";
import type { ItemId, StepId } from "../procedure/ids.ts";
import type { Condition } from "../procedure/condition.ts";
import type { Place } from "../procedure/place.ts";
import type { Step } from "../procedure/step.ts";
import { isSamePlace, isSo } from "./apply-effects.ts";
import { phaseOf } from "./run-in-fold.ts";
import type { HoldInFold, RunInFold, StepInFold } from "./run-in-fold.ts";
import type { Block, RunPhase, StepState } from "./run-state.ts";

/** What is in the way of a step's start. */
export type Assessment = { readonly blocks: readonly Block[]; readonly readiness: StepReadiness };

/**
 * What is in the way of a step's start at a time.
 *
 * @param atMs milliseconds since 1970 on the hub's clock
 * Errors: none.
 */
export function assessStart(run: RunInFold, { step, gates }: StepInFold, atMs: number): Assessment {
  const turnBlocks = [...phaseBlocks(run), ...laneBlocks(run, step)];
  const waitBlocks = [
    ...afterBlocks(run, step),
    ...meetBlocks(run, step),
    ...itemBlocks(run, step),
    ...conditionBlocks(run, step),
    ...windowBlocks(run, step, atMs),
    ...holdBlocks(run, step),
  ];
  const gateBlocks = closedGates(gates, "start");
  const blocks = [...turnBlocks, ...waitBlocks, ...gateBlocks];
  if (turnBlocks.length > 0) return { blocks, readiness: "standing-by" };
  if (waitBlocks.length > 0) return { blocks, readiness: "waiting" };
  return { blocks, readiness: gateBlocks.length > 0 ? "gated" : "clear" };
}

/** What is in the way of calling a step done. */
export function blocksBeforeDone(run: RunInFold, { step, gates, branch }: StepInFold): Block[] {
  const choice: Block[] = step.choice !== null && branch === null ? [{ on: "choice" }] : [];
  return [...phaseBlocks(run), ...closedGates(gates, "done"), ...choice, ...holdBlocks(run, step)];
}

/** Brings a step that is not started up to date with what is in its way. */
export function assessStep(run: RunInFold, stepMutable: StepInFold, atMs: number): Assessment {
  const assessment = assessStart(run, stepMutable, atMs);
  const event = { type: "step.assessed", readiness: assessment.readiness } as const;
  stepMutable.state = nextState(stepTable, stepMutable.state, event) ?? stepMutable.state;
  return assessment;
}

/** Whether a step is in play. */
export function isInPlay(run: RunInFold, step: Step): boolean {
  return !run.index.contingencySteps.has(step.id) || run.tasksInPlay.has(step.task);
}

/** Whether a hold covers a step. */
export function isCovered(hold: HoldInFold, step: Step): boolean {
  switch (hold.scope.covers) {
    case "everyone":
      return true;
    case "lane":
      return hold.scope.lane === step.lane;
    case "task":
      return hold.scope.task === step.task;
  }
}

/** Whether a step is finished. */
export function isFinished(state: StepState): boolean {
  return finishedStates.has(state);
}

const finishedStates: ReadonlySet<StepState> = new Set([
  "done",
  "partly-done",
  "deferred",
  "not-performed",
]);

// A hold on everyone is a hold, not a phase, for this purpose; an orderly return is made of steps.
const phasesForSteps: ReadonlySet<RunPhase> = new Set([
  "under-way",
  "holding",
  "terminating",
  "aborting",
]);

function phaseBlocks(run: RunInFold): Block[] {
  const phase = phaseOf(run.state);
  return phasesForSteps.has(phase) ? [] : [{ on: "phase", phase }];
}

function laneBlocks(run: RunInFold, step: Step): Block[] {
  if (!isInPlay(run, step)) return [{ on: "choice" }];
  const previous = previousInPlay(run, step);
  return previous === undefined || hasFinished(run, previous.id)
    ? []
    : [{ on: "step", step: previous.id }];
}

function previousInPlay(run: RunInFold, step: Step): Step | undefined {
  let previous = run.index.previousInLane.get(step.id);
  while (previous !== undefined && !isInPlay(run, previous)) {
    previous = run.index.previousInLane.get(previous.id);
  }
  return previous;
}

function hasFinished(run: RunInFold, stepId: StepId): boolean {
  const found = run.steps.get(stepId);
  return found === undefined || isFinished(found.state);
}

function afterBlocks(run: RunInFold, step: Step): Block[] {
  const blocks: Block[] = [];
  for (const id of step.after) {
    const before = run.index.stepsById.get(id);
    if (before === undefined || !isInPlay(run, before) || hasFinished(run, id)) continue;
    blocks.push({ on: "step", step: id });
  }
  return blocks;
}

function meetBlocks(run: RunInFold, step: Step): Block[] {
  if (step.meet === null) return [];
  const blocks: Block[] = [];
  const lanes = new Set([step.lane]);
  for (const other of run.index.stepsByMeet.get(step.meet) ?? []) {
    if (lanes.has(other.lane) || !isInPlay(run, other)) continue;
    lanes.add(other.lane);
    if (!hasArrived(run, other)) blocks.push({ on: "meet", lane: other.lane, step: other.id });
  }
  return blocks;
}

function hasArrived(run: RunInFold, step: Step): boolean {
  const { state } = run.steps.get(step.id) as StepInFold;
  if (state === "working" || isFinished(state)) return true;
  const previous = previousInPlay(run, step);
  return previous === undefined || hasFinished(run, previous.id);
}

// Effects of one step follow each other: what the first brings, the second may take.
function itemBlocks(run: RunInFold, step: Step): Block[] {
  const blocks: Block[] = [];
  const moved = new Map<ItemId, Place>();
  for (const effect of step.effects) {
    if (effect.kind !== "item-moved") continue;
    const { item, from, to } = effect;
    const at = moved.get(item) ?? run.world.items.get(item);
    if (!isSamePlace(at, from)) blocks.push({ on: "item", sought: item, at: from });
    moved.set(item, to);
  }
  return blocks;
}

function conditionBlocks(run: RunInFold, step: Step): Block[] {
  return step.requires
    .filter((condition) => !isSo(run.world, condition))
    .map((condition) => ({ on: "condition", says: conditionText(run, condition) }));
}

function conditionText(run: RunInFold, condition: Condition): string {
  const { hardwareById, itemsById, armsById, sitesById, positionsById } = run.index;
  if ("hardware" in condition) {
    const name = hardwareById.get(condition.hardware)?.name ?? condition.hardware;
    return `${name} must be ${condition.state}`;
  }
  if ("item" in condition) {
    const name = itemsById.get(condition.item)?.name ?? condition.item;
    return `${name} must be ${placeText(run, condition.at)}`;
  }
  if ("arm" in condition) {
    const name = armsById.get(condition.arm)?.name ?? condition.arm;
    return `${name} must be at ${sitesById.get(condition.at)?.name ?? condition.at}`;
  }
  const name = positionsById.get(condition.position)?.name ?? condition.position;
  const restraint = itemsById.get(condition.inRestraint)?.name ?? condition.inRestraint;
  return `${name} must be in ${restraint}`;
}

function placeText(run: RunInFold, place: Place): string {
  const { sitesById, itemsById, positionsById } = run.index;
  if ("site" in place) return `at ${sitesById.get(place.site)?.name ?? place.site}`;
  if ("item" in place) return `in ${itemsById.get(place.item)?.name ?? place.item}`;
  return `with ${positionsById.get(place.position)?.name ?? place.position}`;
}

function windowBlocks(run: RunInFold, step: Step, atMs: number): Block[] {
  const { startedAtMs } = run;
  // Before the run's start the phase says it all.
  if (startedAtMs === null) return [];
  const seconds = (atMs - startedAtMs) / 1000;
  return step.needsWindows
    .filter((id) => {
      const spans = run.index.windowsById.get(id)?.spans ?? [];
      return !spans.some((span) => seconds >= span.fromSeconds && seconds <= span.toSeconds);
    })
    .map((window) => ({ on: "window", window }));
}

function closedGates(gates: StepInFold["gates"], before: "start" | "done"): Block[] {
  const blocks: Block[] = [];
  for (const { gate, state } of gates.values()) {
    const isClosed = state !== "open" && state !== "overridden";
    if (gate.before === before && isClosed) blocks.push({ on: "gate", gate: gate.id });
  }
  return blocks;
}

function holdBlocks(run: RunInFold, step: Step): Block[] {
  const blocks: Block[] = [];
  for (const id of run.standingHolds) {
    const hold = run.holds.get(id);
    if (hold !== undefined && isCovered(hold, step)) blocks.push({ on: "hold", hold: id });
  }
  return blocks;
}
