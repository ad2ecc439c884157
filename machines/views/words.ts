// The words of the screens for what the record holds: kinds, states, causes, blocks, places.
// One place, so that a thing has one name on every screen and in every export.

import type { ItemId, PositionId, StepId } from "../procedure/ids.ts";
import type { Place } from "../procedure/place.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { EntryKind, HoldScope, Role } from "../record/entry.ts";
import type {
  Block,
  InjectState,
  LogLine,
  RunPhase,
  StepState,
  VarianceCause,
} from "../record/run-state.ts";

/** What the run is doing, for a heading. */
export const phaseWords: Readonly<Record<RunPhase, string>> = {
  unopened: "Not open yet",
  briefing: "Briefing",
  "under-way": "Under way",
  holding: "On hold",
  terminating: "Terminated: orderly return",
  aborting: "Aborted: straight to the hatch",
  closing: "Closing",
  closed: "Closed",
  "real-stop": "REAL STOP",
};

/** How far a step is. */
export const stepStateWords: Readonly<Record<StepState, string>> = {
  "standing-by": "Standing by",
  waiting: "Waiting",
  gated: "At a gate",
  clear: "Clear to start",
  working: "Working",
  done: "Done",
  "partly-done": "Partly done",
  deferred: "Deferred",
  "not-performed": "Not performed",
};

/** How far an inject is. */
export const injectStateWords: Readonly<Record<InjectState, string>> = {
  scripted: "Scripted",
  armed: "Armed",
  live: "Live",
  responded: "Responded",
  cleared: "Cleared",
};

/** How the director graded the response to an inject. */
export const gradeWords = {
  met: "Met",
  "partly-met": "Partly met",
  "not-met": "Not met",
} as const;

/** What a device is in the run. */
export const roleWords: Readonly<Record<Role, string>> = {
  director: "Director",
  reader: "Reader",
  crew: "Crew",
  support: "Support",
  observer: "Observer",
};

/** Why an entry is a variance, as a sentence. */
export const varianceCauseWords: Readonly<Record<VarianceCause, string>> = {
  "gate-closed": "A gate was closed or something was in the way.",
  "hold-seen": "The lane was on hold, and this device had seen the hold.",
  "hold-not-seen": "The lane was on hold, and this device had not seen the hold.",
  "out-of-order": "It came out of order.",
  "beyond-rights": "The device had no right to it. It was set aside and changed nothing.",
  "limit-exceeded": "A limit was exceeded.",
  "reports-differ": "Two devices reported different figures.",
  "done-twice": "It had been done before.",
};

/** What became of an entry. */
export const outcomeWords: Readonly<Record<LogLine["outcome"], string>> = {
  applied: "Applied",
  "set-aside": "Set aside",
  withdrawn: "Withdrawn",
  "no-effect": "No effect",
};

/** What an entry of each kind says, in short. */
export const entryKindWords: Readonly<Record<EntryKind, string>> = {
  "run.opened": "Run opened",
  "run.started": "Run started",
  "run.terminated": "Run terminated",
  "run.aborted": "Run aborted",
  "run.real-stop-called": "REAL STOP called",
  "run.real-stop-acknowledged": "Real stop acknowledged",
  "run.resumed": "Run resumed",
  "run.closing-started": "Closing started",
  "run.closed": "Run closed",
  "device.joined": "Device joined",
  "device.struck-off": "Device struck off",
  "step.started": "Step started",
  "step.done": "Step done",
  "step.partly-done": "Step partly done",
  "step.deferred": "Step deferred",
  "step.not-performed": "Step not performed",
  "branch.chosen": "Branch chosen",
  "gate.acknowledged": "Hazard acknowledged",
  "gate.readback-confirmed": "Readback confirmed",
  "gate.go-given": "GO given",
  "gate.count-reported": "Count reported",
  "gate.reading-reported": "Reading reported",
  "gate.overridden": "Gate overridden",
  "hold.raised": "Hold raised",
  "hold.acknowledged": "Hold acknowledged",
  "hold.released": "Hold released",
  "hold.requested": "Hold requested",
  "inject.armed": "Inject armed",
  "inject.fired": "Inject live",
  "inject.responded": "Response to inject",
  "inject.graded": "Inject graded",
  "inject.cleared": "Inject cleared",
  "check.recorded": "Check recorded",
  "item.sighted": "Item sighted",
  "note.added": "Note",
  "entry.withdrawn": "Entry withdrawn",
  "clock.sampled": "Clock compared with the hub",
  "clock.jumped": "Clock was set",
  "entry.withheld": "Entry withheld for now",
};

/** Where a lane's step stands in it: "EV1 step 3"; the id itself if the procedure has no such step. */
export function stepName(index: ProcedureIndex, id: StepId): string {
  const step = index.stepsById.get(id);
  if (step === undefined) return id;
  return `${positionName(index, step.lane)} step ${stepNumber(index, id)}`;
}

/** The step's place in its lane, from 1; 0 if the procedure has no such step. */
export function stepNumber(index: ProcedureIndex, id: StepId): number {
  const step = index.stepsById.get(id);
  if (step === undefined) return 0;
  return (index.stepsByLane.get(step.lane) ?? []).indexOf(step) + 1;
}

/** The position's name as it is called on the loop; a dash for none. */
export function positionName(index: ProcedureIndex, position: PositionId | null): string {
  if (position === null) return "–";
  return index.positionsById.get(position)?.name ?? position;
}

/** Where an item is: "at Bay 7", "in Tool bag", "with EV1". */
export function placeWords(index: ProcedureIndex, place: Place): string {
  if ("site" in place) return `at ${index.sitesById.get(place.site)?.name ?? place.site}`;
  if ("item" in place) return `in ${itemName(index, place.item)}`;
  return `with ${positionName(index, place.position)}`;
}

/** The item's name; its id if the procedure has no such item. */
export function itemName(index: ProcedureIndex, item: ItemId): string {
  return index.itemsById.get(item)?.name ?? item;
}

/** Whom a hold covers: "everyone", "lane EV1", "task Change the filter". */
export function scopeWords(index: ProcedureIndex, scope: HoldScope): string {
  if (scope.covers === "everyone") return "everyone";
  if (scope.covers === "lane") return `lane ${positionName(index, scope.lane)}`;
  return `task ${index.tasksById.get(scope.task)?.name ?? scope.task}`;
}

/**
 * What is in a step's way, in a few words: "waits for EV2 step 4".
 *
 * @param step the step that the block is in the way of; its gates are looked up there
 */
export function blockWords(index: ProcedureIndex, step: StepId | null, block: Block): string {
  switch (block.on) {
    case "step":
      return `waits for ${stepName(index, block.step)}`;
    case "meet":
      return `waits to meet ${positionName(index, block.lane)}`;
    case "item":
      return `${itemName(index, block.sought)} is not ${placeWords(index, block.at)}`;
    case "condition":
      return block.says;
    case "window":
      return `waits for ${windowName(index, block.window)}`;
    case "gate":
      return gateBlockWords(index, step, block.gate);
    case "choice":
      return "the question is not answered";
    case "hold":
      return "on hold";
    case "phase":
      return `the run is: ${phaseWords[block.phase].toLowerCase()}`;
  }
}

function windowName(index: ProcedureIndex, id: string): string {
  return index.procedure.windows.find((window) => window.id === id)?.name ?? id;
}

function gateBlockWords(index: ProcedureIndex, step: StepId | null, id: string): string {
  const gates = step === null ? [] : (index.gatesByStep.get(step) ?? []);
  const gate = gates.find((candidate) => candidate.id === id);
  switch (gate?.sort) {
    case "caution":
      return "a caution is not acknowledged";
    case "warning":
      return "a warning is not read back and confirmed";
    case "count":
      return `${gate.label}: not at ${gate.target} yet`;
    case "reading":
      return `${gate.label}: no reading within limits`;
    case "go":
      return `no GO from ${positionName(index, gate.from)}`;
    case undefined:
      return `gate ${id} is closed`;
  }
}
