// Entries about the run as a whole.
//
// [fold-phases 1] A real stop counts from anyone, at once, whatever the run was at; it stands until
//   a director resumes the run, and can't be withdrawn.
// [fold-phases 2] What the run chart does not take is a variance and is applied as what happened.
// [fold-phases 3] What was entered already changes nothing; after the time of corroboration it is
//   done twice.
// [fold-phases 4] Only the first entry that opens the run opens it.

import { nextState } from "../charts/chart-table.ts";
import { runTable } from "../charts/run.chart.ts";
import type { RunChartEvent } from "../charts/run.chart.ts";
import type { EntryBody } from "./entry.ts";
import { followHolds } from "./fold-holds.ts";
import { noteVariance } from "./note-variance.ts";
import { corroborationMsMax, phaseOf } from "./run-in-fold.ts";
import type { Outcome, RunAct, RunInFold, Turn } from "./run-in-fold.ts";

type RunBody = Extract<EntryBody, { readonly kind: `run.${string}` }>;

/** Folds an entry about the run as a whole. */
export function foldPhase(runMutable: RunInFold, turn: Turn, body: RunBody): Outcome {
  switch (body.kind) {
    case "run.opened":
      return open(runMutable, turn, body);
    case "run.real-stop-called":
      return callRealStop(runMutable, turn, body.reason);
    case "run.real-stop-acknowledged":
      return acknowledgeRealStop(runMutable, turn);
    case "run.resumed":
      return resume(runMutable, turn);
    case "run.started":
    case "run.terminated":
    case "run.aborted":
    case "run.closing-started":
    case "run.closed":
      return move(runMutable, turn, body.kind);
  }
}

/** What the run has come to without an act that was taken out of its acts. */
export function refoldPhase(runMutable: RunInFold): void {
  runMutable.state =
    nextState(runTable, runMutable.state, { type: "run.reopened" }) ?? runMutable.state;
  runMutable.startedAtMs = null;
  runMutable.closedAtMs = null;
  for (const act of runMutable.acts) applyRunAct(runMutable, act);
}

function open(
  runMutable: RunInFold,
  turn: Turn,
  body: Extract<RunBody, { readonly kind: "run.opened" }>,
): Outcome {
  if (runMutable.openedAtMs !== null) {
    noteVariance(runMutable, turn, "out-of-order");
    return "no-effect";
  }
  runMutable.openedAtMs = turn.atMs;
  runMutable.procedure = body.procedure;
  runMutable.title = body.title;
  const opened = { type: "run.opened", forced: true } as const;
  // Before it, only strangers and early writers can have said anything; what they said stands.
  if (runMutable.acts.length > 0) return "applied";
  runMutable.state = nextState(runTable, runMutable.state, opened) ?? runMutable.state;
  return "applied";
}

function callRealStop(runMutable: RunInFold, turn: Turn, reason: string): Outcome {
  const next = nextState(runTable, runMutable.state, { type: "run.real-stop-called" });
  if (next === undefined) return "no-effect";
  runMutable.state = next;
  const { name: by, atMs, entry } = turn;
  runMutable.realStop = { by, position: entry.position, atMs, reason, acknowledgedBy: [] };
  return "applied";
}

function acknowledgeRealStop(runMutable: RunInFold, turn: Turn): Outcome {
  const { realStop } = runMutable;
  const { device } = turn.entry;
  if (realStop === null || realStop.acknowledgedBy.includes(device)) return "no-effect";
  const acknowledgedBy = [...realStop.acknowledgedBy, device];
  runMutable.realStop = { ...realStop, acknowledgedBy };
  return "applied";
}

function resume(runMutable: RunInFold, turn: Turn): Outcome {
  const next = nextState(runTable, runMutable.state, { type: "run.resumed" });
  if (next === undefined) {
    noteVariance(runMutable, turn, "out-of-order");
    return "no-effect";
  }
  runMutable.state = next;
  runMutable.realStop = null;
  return "applied";
}

function move(runMutable: RunInFold, turn: Turn, kind: RunAct["kind"]): Outcome {
  const act = { name: turn.name, kind, atMs: turn.atMs };
  const said = runMutable.acts.findLast((known) => known.kind === kind);
  const isSaid = said !== undefined && isAt(runMutable, kind);
  if (
    !isSaid &&
    nextState(runTable, runMutable.state, { type: kind, forced: false }) === undefined
  ) {
    noteVariance(runMutable, turn, "out-of-order", [
      { on: "phase", phase: phaseOf(runMutable.state) },
    ]);
  }
  runMutable.acts = [...runMutable.acts, act];
  if (isSaid) {
    if (turn.atMs - said.atMs > corroborationMsMax) noteVariance(runMutable, turn, "done-twice");
    return "no-effect";
  }
  applyRunAct(runMutable, act);
  return "applied";
}

const phasesByKind: Readonly<Record<RunAct["kind"], readonly string[]>> = {
  "run.started": ["under-way", "holding"],
  "run.terminated": ["terminating"],
  "run.aborted": ["aborting"],
  "run.closing-started": ["closing"],
  "run.closed": ["closed"],
};

// Whether the run, real stop or not, is at what the kind of entry leads to.
function isAt(run: RunInFold, kind: RunAct["kind"]): boolean {
  const phase = run.state.slice(run.state.indexOf(".") + 1);
  return phasesByKind[kind].includes(phase);
}

function applyRunAct(runMutable: RunInFold, act: RunAct): void {
  if (isAt(runMutable, act.kind)) return;
  const event: RunChartEvent = { type: act.kind, forced: true };
  runMutable.state = nextState(runTable, runMutable.state, event) ?? runMutable.state;
  if (act.kind === "run.started") {
    runMutable.startedAtMs ??= act.atMs;
    followHolds(runMutable);
  }
  if (act.kind === "run.closed") runMutable.closedAtMs = act.atMs;
}
