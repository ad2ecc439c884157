// Variances: what happened against a closed gate, a hold, an order, a right or a limit.
//
// [note-variance 1] An entry has at most one variance of each cause; it names all that was in the
//   way.
// [note-variance 2] A variance is never taken out again, not even if its entry is withdrawn.
// [note-variance 3] A hold was seen if the author's device had raised it or had, by what it had
//   written up to and with this entry, seen the entry that raised it; times play no part.

import { canonicalJson } from "../base/canonical-json.ts";
import { addPart, replacePart } from "../base/rewindable-list.ts";
import type { EntryBody } from "./entry.ts";
import type { HoldId } from "./ids.ts";
import type { RunInFold, Turn } from "./run-in-fold.ts";
import { isSameEntry } from "./run-in-fold.ts";
import type { StepId } from "../procedure/ids.ts";
import type { Block, Variance, VarianceCause } from "./run-state.ts";

/** Notes a variance of one cause; adds the blocks that are new if the entry has one of that cause. */
export function noteVariance(
  runMutable: RunInFold,
  turn: Turn,
  cause: VarianceCause,
  blocks: readonly Block[] = [],
): void {
  const { variances } = runMutable.lists;
  // The entry's own variances are the last ones.
  for (let place = variances.parts.length - 1; place >= 0; place -= 1) {
    const known = variances.parts[place] as Variance;
    if (!isSameEntry(known.by, turn.name)) break;
    if (known.cause !== cause) continue;
    const news = blocks.filter((block) => !known.blocks.some((one) => isSameBlock(one, block)));
    replacePart(variances, place, { ...known, blocks: [...known.blocks, ...news] });
    return;
  }
  const { entry, name, atMs } = turn;
  const { kind } = entry.body;
  const step = stepOf(entry.body);
  addPart(variances, { cause, by: name, position: entry.position, atMs, kind, step, blocks });
}

/** Notes a variance for each cause among the things that were in an entry's way. */
export function noteBlocks(runMutable: RunInFold, turn: Turn, blocks: readonly Block[]): void {
  const blocksByCause = new Map<VarianceCause, Block[]>();
  for (const block of blocks) {
    const cause = causeOf(runMutable, turn, block);
    const known = blocksByCause.get(cause);
    if (known === undefined) blocksByCause.set(cause, [block]);
    else known.push(block);
  }
  for (const [cause, ofCause] of blocksByCause) noteVariance(runMutable, turn, cause, ofCause);
}

/** The step that an entry is about; null if it is about none. */
export function stepOf(body: EntryBody): StepId | null {
  return "step" in body ? body.step : null;
}

function isSameBlock(a: Block, b: Block): boolean {
  return canonicalJson(a) === canonicalJson(b);
}

function causeOf(run: RunInFold, turn: Turn, block: Block): Variance["cause"] {
  if (block.on === "gate") return "gate-closed";
  if (block.on !== "hold") return "out-of-order";
  return hasSeenHold(run, turn, block.hold) ? "hold-seen" : "hold-not-seen";
}

function hasSeenHold(run: RunInFold, turn: Turn, id: HoldId): boolean {
  const hold = run.holds.get(id);
  if (hold === undefined) return false;
  const { device, seq } = hold.raisedBy;
  if (device === turn.entry.device) return true;
  return (run.seenByDevice.get(turn.entry.device)?.seqsByDevice.get(device) ?? 0) >= seq;
}
