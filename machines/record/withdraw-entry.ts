// Withdrawals: an entry is taken back by a further one, at that one's place in the order.
//
// [withdraw-entry 1] What an entry was about comes to what its other entries make of it; until the
//   withdrawal's place everything stays as it was.
// [withdraw-entry 2] Withdrawing a hold releases it; withdrawing a release raises it again.
// [withdraw-entry 3] These can't be withdrawn, only answered by a further entry: the opening, a
//   real stop and what follows it, letters to devices, clock notes, withdrawals.
// [withdraw-entry 4] An entry is withdrawn once; its variances stay.

import type { Entry, EntryName } from "./entry.ts";
import { refoldGate } from "./fold-gates.ts";
import { recountAcknowledgements, releaseHold, takeBackRelease } from "./fold-holds.ts";
import { refoldInject } from "./fold-injects.ts";
import { refoldPhase } from "./fold-phases.ts";
import { applyBranches, refoldStep } from "./fold-steps.ts";
import { holdIdOf } from "./hold-id.ts";
import type { DeviceId } from "./ids.ts";
import type { OrderedEntry } from "./order-entries.ts";
import { takeOut } from "./run-in-fold.ts";
import type { Outcome, RunInFold, Turn } from "./run-in-fold.ts";

/** Entries that some other entry of the set takes back, as the fold comes past them. */
export type Withdrawables = ReadonlyMap<DeviceId, Map<number, Withdrawable | null>>;

/** An entry that can be taken back, and the place of its log line. */
export type Withdrawable = { readonly entry: Entry; readonly line: number };

/** Finds which entries are taken back anywhere in the order; none of them is passed yet. */
export function findWithdrawables(ordered: readonly OrderedEntry[]): Withdrawables {
  const found = new Map<DeviceId, Map<number, Withdrawable | null>>();
  for (const { entry } of ordered) {
    if (entry.body.kind !== "entry.withdrawn") continue;
    const { device, seq } = entry.body.withdrawn;
    const ofDevice = found.get(device) ?? new Map<number, Withdrawable | null>();
    found.set(device, ofDevice.set(seq, null));
  }
  return found;
}

/** Folds a withdrawal. */
export function foldWithdrawal(
  runMutable: RunInFold,
  turn: Turn,
  withdrawn: EntryName,
  withdrawables: Withdrawables,
): Outcome {
  const target = withdrawables.get(withdrawn.device)?.get(withdrawn.seq);
  if (target === undefined || target === null) return "no-effect";
  const line = runMutable.log[target.line];
  if (line === undefined || line.outcome === "withdrawn" || line.outcome === "set-aside") {
    return "no-effect";
  }
  if (!takeBack(runMutable, turn, target.entry)) return "no-effect";
  runMutable.log[target.line] = { ...line, outcome: "withdrawn" };
  return "applied";
}

// Tells whether there was something to take back.
function takeBack(runMutable: RunInFold, turn: Turn, entry: Entry): boolean {
  const { kind } = entry.body;
  const name = { device: entry.device, seq: entry.seq };
  if (kind === "note.added") return takeOut(runMutable.notes, writtenBy, name);
  if (kind === "check.recorded") return takeOut(runMutable.checks, writtenBy, name);
  if (kind === "item.sighted") return takeOut(runMutable.sightings, writtenBy, name);
  if (kind === "hold.requested") return takeOut(runMutable.holdRequests, writtenBy, name);
  if (kind.startsWith("hold.")) return takeBackHold(runMutable, turn, entry);
  return takeBackAct(runMutable, entry);
}

function writtenBy({ by }: { readonly by: EntryName }): EntryName {
  return by;
}

function nameOf(act: { readonly name: EntryName }): EntryName {
  return act.name;
}

function takeBackHold(runMutable: RunInFold, turn: Turn, entry: Entry): boolean {
  const { body } = entry;
  const name = { device: entry.device, seq: entry.seq };
  if (body.kind === "hold.raised") {
    const hold = runMutable.holds.get(holdIdOf(name));
    return hold !== undefined && releaseHold(runMutable, hold, turn);
  }
  if (body.kind !== "hold.acknowledged" && body.kind !== "hold.released") return false;
  const hold = runMutable.holds.get(body.hold);
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
    const gate = runMutable.steps.get(body.step)?.gates.get(body.gate);
    if (gate === undefined || !takeOut(gate.acts, nameOf, name)) return false;
    refoldGate(gate);
    return true;
  }
  if ("inject" in body && body.kind !== "hold.raised") {
    const inject = runMutable.injects.get(body.inject);
    if (inject === undefined || !takeOut(inject.acts, nameOf, name)) return false;
    if (inject.acts.length === 0) runMutable.injects.delete(body.inject);
    else refoldInject(inject);
    return true;
  }
  if ("step" in body && body.step !== null) return takeBackStep(runMutable, name, entry);
  if (!takeOut(runMutable.acts, nameOf, name)) return false;
  refoldPhase(runMutable);
  return true;
}

function takeBackStep(runMutable: RunInFold, name: EntryName, { body }: Entry): boolean {
  const step = "step" in body && body.step !== null ? runMutable.steps.get(body.step) : undefined;
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
