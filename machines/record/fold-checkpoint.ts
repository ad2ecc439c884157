// Checkpoints of a fold.
//
// [fold-checkpoint 1] A run that went back to a checkpoint is what it was when that was taken.
// [fold-checkpoint 2] A checkpoint can be gone back to any number of times, as long as its run was
//   not taken back to an earlier one in between.

import { markList, rewind } from "../base/rewindable-list.ts";
import type { ListMark } from "../base/rewindable-list.ts";
import { copyWorld } from "./apply-effects.ts";
import { newOwner } from "./run-in-fold.ts";
import type { ListsInFold, RunInFold } from "./run-in-fold.ts";

/** A run in the middle of its fold, before the entry of a place. */
export type FoldCheckpoint = {
  readonly place: number;
  readonly run: RunInFold;
  readonly marks: Readonly<Record<keyof ListsInFold, ListMark>>;
};

/** Takes a checkpoint: copies what is small, and lets go of the rest, so that it is not changed. */
export function takeCheckpoint(runMutable: RunInFold): FoldCheckpoint {
  runMutable.owner = newOwner();
  const { holdRequests, sightings, checks, notes, variances, log, folded } = runMutable.lists;
  return {
    place: folded.parts.length,
    run: copyRun(runMutable),
    marks: {
      holdRequests: markList(holdRequests),
      sightings: markList(sightings),
      checks: markList(checks),
      notes: markList(notes),
      variances: markList(variances),
      log: markList(log),
      folded: markList(folded),
    },
  };
}

/** The run as it was at a checkpoint; the one that was given is no longer good. */
export function goBackTo(runMutable: RunInFold, { place, run, marks }: FoldCheckpoint): RunInFold {
  const { holdRequests, sightings, checks, notes, variances, log, folded } = runMutable.lists;
  for (const { device } of folded.parts.slice(place)) runMutable.places.get(device)?.pop();
  rewind(holdRequests, marks.holdRequests);
  rewind(sightings, marks.sightings);
  rewind(checks, marks.checks);
  rewind(notes, marks.notes);
  rewind(variances, marks.variances);
  rewind(log, marks.log);
  rewind(folded, marks.folded);
  return copyRun(run);
}

// The lists and the places are not copied: they are wound back.
function copyRun(run: RunInFold): RunInFold {
  return {
    ...run,
    owner: newOwner(),
    steps: new Map(run.steps),
    world: copyWorld(run.world),
    holds: new Map(run.holds),
    injects: new Map(run.injects),
    seenByDevice: new Map(run.seenByDevice),
  };
}
