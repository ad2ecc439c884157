// Withdrawals: an entry is taken back by a further one, at that one's place in the order.
//
// [withdraw-entry 1] What an entry was about comes to what its other entries make of it; until the
//   withdrawal's place everything stays as it was.
// [withdraw-entry 2] Withdrawing a hold releases it; withdrawing a release raises it again.
// [withdraw-entry 3] These can't be withdrawn, only answered by a further entry: the opening, a
//   real stop and what follows it, letters to devices, clock notes, withdrawals.
// [withdraw-entry 4] An entry is withdrawn once; its variances stay.

import { replacePart, takeOutPart } from "../base/rewindable-list.ts";
import type { RewindableList } from "../base/rewindable-list.ts";
import type { Entry, EntryName } from "./entry.ts";
import { refoldGate } from "./fold-gates.ts";
import { recountAcknowledgements, releaseHold, takeBackRelease } from "./fold-holds.ts";
import { refoldInject } from "./fold-injects.ts";
import { refoldPhase } from "./fold-phases.ts";
import { applyBranches, refoldStep } from "./fold-steps.ts";
import { holdIdOf } from "./hold-id.ts";
import { holdToWrite, injectToWrite, isSameEntry, stepToWrite, takeOut } from "./run-in-fold.ts";
import type { Outcome, RunInFold, Turn } from "./run-in-fold.ts";

/** Folds a withdrawal. */
export function foldWithdrawal(
  runMutable: RunInFold,
  turn: Turn,
  { device, seq }: EntryName,
): Outcome {
  const { log, folded } = runMutable.lists;
  // A device's entries are folded by seq from 1 without a gap.
  const place = runMutable.places.get(device)?.[seq - 1];
  const line = place === undefined ? undefined : log.parts[place];
  const entry = place === undefined ? undefined : folded.parts[place];
  if (place === undefined || line === undefined || entry === undefined) return "no-effect";
  if (entry.seq !== seq) return "no-effect";
  if (line.outcome === "withdrawn" || line.outcome === "set-aside") return "no-effect";
  if (!takeBack(runMutable, turn, entry)) return "no-effect";
  replacePart(log, place, { ...line, outcome: "withdrawn" });
  return "applied";
}

// Tells whether there was something to take back.
function takeBack(runMutable: RunInFold, turn: Turn, entry: Entry): boolean {
  const { kind } = entry.body;
  const name = { device: entry.device, seq: entry.seq };
  const { notes, checks, sightings, holdRequests } = runMutable.lists;
  if (kind === "note.added") return takeOutOf(notes, name);
  if (kind === "check.recorded") return takeOutOf(checks, name);
  if (kind === "item.sighted") return takeOutOf(sightings, name);
  if (kind === "hold.requested") return takeOutOf(holdRequests, name);
  if (kind.startsWith("hold.")) return takeBackHold(runMutable, turn, entry);
  return takeBackAct(runMutable, entry);
}

function takeOutOf(
  listMutable: RewindableList<{ readonly by: EntryName }>,
  name: EntryName,
): boolean {
  const place = listMutable.parts.findLastIndex(({ by }) => isSameEntry(by, name));
  if (place !== -1) takeOutPart(listMutable, place);
  return place !== -1;
}

function nameOf(act: { readonly name: EntryName }): EntryName {
  return act.name;
}

function takeBackHold(runMutable: RunInFold, turn: Turn, entry: Entry): boolean {
  const { body } = entry;
  const name = { device: entry.device, seq: entry.seq };
  if (body.kind === "hold.raised") {
    const hold = holdToWrite(runMutable, holdIdOf(name));
    return hold !== undefined && releaseHold(runMutable, hold, turn);
  }
  if (body.kind !== "hold.acknowledged" && body.kind !== "hold.released") return false;
  const hold = holdToWrite(runMutable, body.hold);
  if (hold === undefined) return false;
  if (body.kind === "hold.released") return takeBackRelease(runMutable, hold, name);
  const wasThere = takeOut(hold.acknowledgements, nameOf, name);
  recountAcknowledgements(hold);
  return wasThere;
}

// Entries about steps, gates, injects and the run, which have acts.
function takeBackAct(runMutable: RunInFold, entry: Entry): boolean {
  const { body } = entry;
  const name = { device: entry.device, seq: entry.seq };
  if ("gate" in body) {
    const gate = stepToWrite(runMutable, body.step)?.gates.get(body.gate);
    if (gate === undefined || !takeOut(gate.acts, nameOf, name)) return false;
    refoldGate(gate);
    return true;
  }
  if ("inject" in body && body.kind !== "hold.raised") {
    const inject = injectToWrite(runMutable, body.inject);
    if (inject === undefined || !takeOut(inject.acts, nameOf, name)) return false;
    if (inject.acts.length === 0) runMutable.injects.delete(body.inject);
    else refoldInject(inject);
    return true;
  }
  if ("step" in body && body.step !== null) return takeBackStep(runMutable, name, entry);
  const acts = [...runMutable.acts];
  if (!takeOut(acts, nameOf, name)) return false;
  runMutable.acts = acts;
  refoldPhase(runMutable);
  return true;
}

function takeBackStep(runMutable: RunInFold, name: EntryName, { body }: Entry): boolean {
  const step =
    "step" in body && body.step !== null ? stepToWrite(runMutable, body.step) : undefined;
  if (step === undefined) return false;
  if (body.kind === "branch.chosen") {
    if (!takeOut(step.branchActs, nameOf, name)) return false;
    applyBranches(runMutable, step);
    return true;
  }
  if (!takeOut(step.acts, nameOf, name)) return false;
  refoldStep(runMutable, step);
  return true;
}
