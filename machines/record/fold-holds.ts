// Entries about holds.
//
// [fold-holds 1] A hold stands from its entry's place in the order until it is released.
// [fold-holds 2] The run is holding while a hold on everyone stands.
// [fold-holds 3] What nothing comes of (a second acknowledgement, a second release) has no effect
//   and is no variance; only a hold that nobody raised is one.

import { nextState } from "../charts/chart-table.ts";
import { holdTable } from "../charts/hold.chart.ts";
import type { HoldChartEvent } from "../charts/hold.chart.ts";
import { runTable } from "../charts/run.chart.ts";
import type { PositionId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { addPart } from "../base/rewindable-list.ts";
import type { EntryBody, EntryName, HoldScope } from "./entry.ts";
import { holdIdOf } from "./hold-id.ts";
import type { HoldId } from "./ids.ts";
import { noteVariance } from "./note-variance.ts";
import { holdToWrite, takeOut } from "./run-in-fold.ts";
import type { HoldInFold, Outcome, RunInFold, Turn } from "./run-in-fold.ts";

type HoldBody = Extract<EntryBody, { readonly kind: `hold.${string}` }>;
type RaisedBody = Extract<HoldBody, { readonly kind: "hold.raised" }>;

/** Folds an entry about a hold. */
export function foldHold(runMutable: RunInFold, turn: Turn, body: HoldBody): Outcome {
  if (body.kind === "hold.raised") return raise(runMutable, turn, body);
  if (body.kind === "hold.requested") {
    const { name, atMs, entry } = turn;
    const request = { by: name, position: entry.position, atMs, reason: body.reason };
    addPart(runMutable.lists.holdRequests, request);
    return "applied";
  }
  const hold = holdToWrite(runMutable, body.hold);
  if (hold === undefined) {
    noteVariance(runMutable, turn, "out-of-order");
    return "no-effect";
  }
  const isTaken =
    body.kind === "hold.released"
      ? releaseHold(runMutable, hold, turn)
      : acknowledge(hold, turn, body.lane);
  return isTaken ? "applied" : "no-effect";
}

/** Releases a hold; tells whether it stood. */
export function releaseHold(runMutable: RunInFold, hold: HoldInFold, turn: Turn): boolean {
  hold.releases.push(turn.name);
  const next = nextState(holdTable, hold.state, { type: "hold.released" });
  if (next === undefined) return false;
  hold.state = next;
  hold.releasedAtMs = turn.atMs;
  runMutable.standingHolds = new Set([...runMutable.standingHolds].filter((id) => id !== hold.id));
  followHolds(runMutable);
  return true;
}

/** Takes a release back, so that the hold is raised again if no other released it. */
export function takeBackRelease(runMutable: RunInFold, hold: HoldInFold, name: EntryName): boolean {
  if (!takeOut(hold.releases, (release) => release, name)) return false;
  if (hold.releases.length > 0) return true;
  hold.state = nextState(holdTable, hold.state, reopened(hold)) ?? hold.state;
  hold.releasedAtMs = null;
  standAgain(runMutable, hold.id);
  return true;
}

/** What a hold has come to without an acknowledgement that was taken back. */
export function recountAcknowledgements(holdMutable: HoldInFold): void {
  if (holdMutable.state === "released") return;
  holdMutable.state = nextState(holdTable, holdMutable.state, reopened(holdMutable)) ?? "raised";
}

/** Lets the run be holding, or under way, by the holds that stand. */
export function followHolds(runMutable: RunInFold): void {
  let isEveryoneHeld = false;
  for (const id of runMutable.standingHolds) {
    if (runMutable.holds.get(id)?.scope.covers === "everyone") isEveryoneHeld = true;
  }
  const event = { type: isEveryoneHeld ? "run.held" : "run.released" } as const;
  runMutable.state = nextState(runTable, runMutable.state, event) ?? runMutable.state;
}

function raise(runMutable: RunInFold, turn: Turn, body: RaisedBody): Outcome {
  const id = holdIdOf(turn.name);
  const hold: HoldInFold = {
    owner: runMutable.owner,
    id,
    scope: body.scope,
    lanes: coveredLanes(runMutable.index, body.scope),
    reason: body.reason,
    inject: body.inject,
    raisedBy: turn.name,
    raisedFor: turn.entry.position,
    raisedAtMs: turn.atMs,
    acknowledgements: [],
    releases: [],
    state: holdTable.initial,
    releasedAtMs: null,
  };
  runMutable.holds.set(id, hold);
  standAgain(runMutable, id);
  return "applied";
}

function standAgain(runMutable: RunInFold, id: HoldId): void {
  runMutable.standingHolds = new Set([...runMutable.standingHolds, id]);
  followHolds(runMutable);
}

function coveredLanes(index: ProcedureIndex, scope: HoldScope): readonly PositionId[] {
  switch (scope.covers) {
    case "everyone":
      return index.lanes;
    case "lane":
      return [scope.lane];
    case "task": {
      const steps = index.stepsByTask.get(scope.task) ?? [];
      return [...new Set(steps.map((step) => step.lane))];
    }
  }
}

function acknowledge(holdMutable: HoldInFold, turn: Turn, lane: PositionId): boolean {
  const { acknowledgements, lanes } = holdMutable;
  if (!lanes.includes(lane)) return false;
  const isKnown = acknowledgements.some((known) => known.lane === lane);
  acknowledgements.push({ name: turn.name, lane });
  if (isKnown) return false;
  const event: HoldChartEvent = { type: "hold.acknowledged", byAll: isByAll(holdMutable) };
  const next = nextState(holdTable, holdMutable.state, event);
  if (next === undefined) return false;
  holdMutable.state = next;
  return true;
}

function reopened(hold: HoldInFold): HoldChartEvent {
  return { type: "hold.reopened", byAll: isByAll(hold) };
}

function isByAll({ lanes, acknowledgements }: HoldInFold): boolean {
  const known = new Set(acknowledgements.map(({ lane }) => lane));
  return lanes.length > 0 && lanes.every((lane) => known.has(lane));
}
