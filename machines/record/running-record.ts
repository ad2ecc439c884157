// A run's record that grows: entries come in as they arrive, and the state follows.
//
// Definition: a *checkpoint* is the run in the middle of its fold, at a place of the order.
// [running-record 1] Order and state are, byte for byte, those of `orderEntries` and `foldRun` over
//   all entries that came, in whatever order, grouping and repetition they did.
// [running-record 2] What came is folded from the first place that it affects, not from the start:
//   the first at which the order changed, or an earlier entry of a device whose rights it changed,
//   which may be the start.
// [running-record 3] Checkpoints are a cache: some four for each doubling of the way back, so that
//   going back costs no more than twice what must be folded anew.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { admitDevices, authorAt } from "./admit-devices.ts";
import type { Admissions } from "./admit-devices.ts";
import type { Entry } from "./entry.ts";
import { goBackTo, takeCheckpoint } from "./fold-checkpoint.ts";
import type { FoldCheckpoint } from "./fold-checkpoint.ts";
import { foldNext } from "./fold-run.ts";
import type { DeviceId } from "./ids.ts";
import type { OrderedEntry } from "./order-entries.ts";
import { beginRun } from "./run-in-fold.ts";
import type { RunInFold } from "./run-in-fold.ts";
import type { RunState } from "./run-state.ts";
import { addToOrder, emptyOrder } from "./running-order.ts";
import type { RunningOrder } from "./running-order.ts";
import { stateOfRun } from "./state-of-run.ts";

/** A record that entries can be added to. Its parts are for the functions of this file. */
export type RunningRecord = {
  readonly order: RunningOrder;
  run: RunInFold;
  admissions: Admissions;
  /** The last place of an entry that may admit somebody; -1: there is none. */
  lastLetterAt: number;
  /** By rising place; the first is the beginning. */
  checkpoints: readonly FoldCheckpoint[];
  state: RunState | null;
};

/** A record in which there is nothing yet. */
export function emptyRunningRecord(index: ProcedureIndex): RunningRecord {
  const run = beginRun(index);
  return {
    order: emptyOrder(),
    run,
    admissions: admitDevices([]),
    lastLetterAt: -1,
    checkpoints: [takeCheckpoint(run)],
    state: null,
  };
}

/**
 * Adds entries of the record's run.
 *
 * Errors: none.
 */
export function addEntries(recordMutable: RunningRecord, entries: Iterable<Entry>): void {
  const { order } = recordMutable;
  const changedAt = addToOrder(order, entries);
  const folded = recordMutable.run.lists.folded.parts.length;
  if (changedAt === folded && folded === order.ordered.length) return;
  const from = Math.min(changedAt, readLetters(recordMutable, changedAt));
  recordMutable.state = null;
  if (from < folded) goBack(recordMutable, from);
  foldOn(recordMutable);
}

/** What the run has come to: as `foldRun` gives it; the same object while nothing comes. */
export function stateOfRecord(recordMutable: RunningRecord): RunState {
  recordMutable.state ??= stateOfRun(recordMutable.run, recordMutable.admissions);
  return recordMutable.state;
}

/** The entries in order, as `orderEntries` gives them; good until something is added. */
export function orderOfRecord({ order }: RunningRecord): readonly OrderedEntry[] {
  return order.ordered;
}

// Reads who was admitted, if that may have changed. Returns the first place that is already folded
// and whose author has other rights now.
function readLetters(recordMutable: RunningRecord, changedAt: number): number {
  const { order, admissions, lastLetterAt } = recordMutable;
  const { ordered } = order;
  const next = lastLetterFrom(ordered, changedAt);
  if (next === -1 && lastLetterAt < changedAt) return Infinity;
  recordMutable.lastLetterAt = next === -1 ? lastLetterFrom(ordered.slice(0, changedAt), 0) : next;
  recordMutable.admissions = admitDevices(ordered);
  let from = Infinity;
  for (const [device, places] of recordMutable.run.places) {
    const at = places.find(
      (place) =>
        place < changedAt && !isSameAuthor(device, place, admissions, recordMutable.admissions),
    );
    if (at !== undefined) from = Math.min(from, at);
  }
  return from;
}

function lastLetterFrom(ordered: readonly OrderedEntry[], from: number): number {
  for (let place = ordered.length - 1; place >= from; place -= 1) {
    const { kind } = (ordered[place] as OrderedEntry).entry.body;
    if (kind === "run.opened" || kind === "device.joined" || kind === "device.struck-off") {
      return place;
    }
  }
  return -1;
}

function isSameAuthor(device: DeviceId, place: number, a: Admissions, b: Admissions): boolean {
  const [was, is] = [authorAt(a, device, place), authorAt(b, device, place)];
  return was.role === is.role && was.lane === is.lane;
}

function goBack(recordMutable: RunningRecord, from: number): void {
  const kept = recordMutable.checkpoints.filter(({ place }) => place <= from);
  recordMutable.checkpoints = kept;
  recordMutable.run = goBackTo(recordMutable.run, kept.at(-1) as FoldCheckpoint);
}

const checkpointEvery = 64;

function foldOn(recordMutable: RunningRecord): void {
  const { run, admissions, order } = recordMutable;
  const { ordered } = order;
  const taken: FoldCheckpoint[] = [];
  const from = run.lists.folded.parts.length;
  for (let place = from; place < ordered.length; place += 1) {
    if (place > from && isWorthKeeping(place, ordered.length)) taken.push(takeCheckpoint(run));
    const next = ordered[place] as OrderedEntry;
    foldNext(run, next, authorAt(admissions, next.entry.device, place));
  }
  const crossed = Math.floor(from / checkpointEvery) < Math.floor(ordered.length / checkpointEvery);
  if (!crossed) return;
  if (ordered.length % checkpointEvery === 0) taken.push(takeCheckpoint(run));
  recordMutable.checkpoints = [...recordMutable.checkpoints, ...taken].filter(({ place }) =>
    isWorthKeeping(place, ordered.length),
  );
}

// The farther back, the wider apart; what is not worth keeping once never is again.
function isWorthKeeping(place: number, length: number): boolean {
  let apart = checkpointEvery;
  while (apart * 4 <= length - place) apart *= 2;
  return place % apart === 0;
}
