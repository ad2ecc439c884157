// The fold: from a procedure and ordered entries to what the run has come to.
//
// [fold 1] It is a pure function of the procedure and the ordered entries.
// [fold 2] It never throws, whatever the entries say of steps, gates, holds and devices.
// [fold 3] It never drops: every entry has a log line, in order, that says what became of it.
// [fold 4] An entry that its chart would not have taken is folded as what happened and noted as a
//   variance with its cause.
// [fold 5] An entry beyond its author's rights is set aside and noted; it changes nothing else.
// [fold 6] After the run is closed, remarks, grades, withdrawals and letters are in order; anything
//   else is a variance.
// One file for each sort of entry does the work; `run-in-fold.ts` says what they share.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { addPart } from "../base/rewindable-list.ts";
import { admitDevices, authorAt } from "./admit-devices.ts";
import type { Entry, EntryBody, EntryKind } from "./entry.ts";
import { foldGate } from "./fold-gates.ts";
import { foldHold } from "./fold-holds.ts";
import { foldInject } from "./fold-injects.ts";
import { foldPhase } from "./fold-phases.ts";
import { foldRemark } from "./fold-remarks.ts";
import { foldBranch, foldStep } from "./fold-steps.ts";
import type { DeviceId } from "./ids.ts";
import { noteVariance, stepOf } from "./note-variance.ts";
import type { OrderedEntry } from "./order-entries.ts";
import { mayWrite } from "./rights.ts";
import type { Author } from "./rights.ts";
import { beginRun, phaseOf } from "./run-in-fold.ts";
import type { Outcome, RunInFold, Turn } from "./run-in-fold.ts";
import type { RunState } from "./run-state.ts";
import { stateOfRun } from "./state-of-run.ts";
import { foldWithdrawal } from "./withdraw-entry.ts";

/**
 * What a run has come to.
 *
 * @param index of the procedure that the run pins
 * @param ordered as `orderEntries` gives them
 * Errors: none.
 */
export function foldRun(index: ProcedureIndex, ordered: readonly OrderedEntry[]): RunState {
  const run = beginRun(index);
  const admissions = admitDevices(ordered);
  for (const [place, next] of ordered.entries()) {
    foldNext(run, next, authorAt(admissions, next.entry.device, place));
  }
  return stateOfRun(run, admissions);
}

/**
 * Folds the entry that comes next in the order.
 *
 * Errors: none.
 */
export function foldNext(
  runMutable: RunInFold,
  { entry, atMs, errorMs }: OrderedEntry,
  author: Author,
): void {
  const name = { device: entry.device, seq: entry.seq };
  const turn = { entry, name, atMs, author };
  runMutable.lastAtMs = atMs;
  addSeen(runMutable, entry);
  const outcome = foldTurn(runMutable, turn);
  const { position, body } = entry;
  const step = stepOf(body);
  const { lists } = runMutable;
  addPlace(runMutable, entry.device, lists.folded.parts.length);
  addPart(lists.folded, entry);
  addPart(lists.log, { by: name, position, atMs, errorMs, kind: body.kind, step, outcome });
}

function foldTurn(runMutable: RunInFold, turn: Turn): Outcome {
  const { entry, author } = turn;
  const { body } = entry;
  if (!mayWrite(author, entry.position, body, runMutable.index)) {
    noteVariance(runMutable, turn, "beyond-rights");
    return "set-aside";
  }
  const phase = phaseOf(runMutable.state);
  if (phase === "closed" && !kindsAfterClosing.has(body.kind)) {
    noteVariance(runMutable, turn, "out-of-order", [{ on: "phase", phase }]);
  }
  return foldBody(runMutable, turn, body);
}

// Steps note the phase among all else that was in their way.
const kindsAfterClosing: ReadonlySet<EntryKind> = new Set<EntryKind>([
  "run.closed",
  "run.real-stop-called",
  "run.real-stop-acknowledged",
  "run.resumed",
  "device.joined",
  "device.struck-off",
  "inject.graded",
  "item.sighted",
  "note.added",
  "entry.withdrawn",
  "clock.sampled",
  "clock.jumped",
  "entry.withheld",
  "step.started",
  "step.done",
]);

function foldBody(runMutable: RunInFold, turn: Turn, body: EntryBody): Outcome {
  switch (body.kind) {
    case "run.opened":
    case "run.started":
    case "run.terminated":
    case "run.aborted":
    case "run.real-stop-called":
    case "run.real-stop-acknowledged":
    case "run.resumed":
    case "run.closing-started":
    case "run.closed":
      return foldPhase(runMutable, turn, body);
    case "step.started":
    case "step.done":
    case "step.partly-done":
    case "step.deferred":
    case "step.not-performed":
      return foldStep(runMutable, turn, body);
    case "branch.chosen":
      return foldBranch(runMutable, turn, body);
    case "gate.acknowledged":
    case "gate.readback-confirmed":
    case "gate.go-given":
    case "gate.count-reported":
    case "gate.reading-reported":
    case "gate.overridden":
      return foldGate(runMutable, turn, body);
    case "hold.raised":
    case "hold.acknowledged":
    case "hold.released":
    case "hold.requested":
      return foldHold(runMutable, turn, body);
    case "inject.armed":
    case "inject.fired":
    case "inject.responded":
    case "inject.graded":
    case "inject.cleared":
      return foldInject(runMutable, turn, body);
    case "check.recorded":
    case "item.sighted":
    case "note.added":
      return foldRemark(runMutable, turn, body);
    case "entry.withdrawn":
      return foldWithdrawal(runMutable, turn, body.withdrawn);
    // What letters and clock notes say was read before, over the whole order.
    case "device.joined":
    case "device.struck-off":
    case "clock.sampled":
    case "clock.jumped":
      return "applied";
    case "entry.withheld":
      return "no-effect";
  }
}

function addSeen(runMutable: RunInFold, { device, seen }: Entry): void {
  let known = runMutable.seenByDevice.get(device);
  for (const other in seen) {
    const otherId = other as DeviceId;
    const seq = seen[otherId] ?? 0;
    if (seq <= (known?.seqsByDevice.get(otherId) ?? 0)) continue;
    if (known === undefined || known.owner !== runMutable.owner) {
      known = { owner: runMutable.owner, seqsByDevice: new Map(known?.seqsByDevice) };
      runMutable.seenByDevice.set(device, known);
    }
    known.seqsByDevice.set(otherId, seq);
  }
}

function addPlace(runMutable: RunInFold, device: DeviceId, place: number): void {
  const places = runMutable.places.get(device);
  if (places === undefined) runMutable.places.set(device, [place]);
  else places.push(place);
}
