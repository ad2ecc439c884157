// The run while it is being folded: what `foldRun` changes entry by entry, and nobody else sees.
//
// Definition: an *act* is an entry that had its say about one thing (a step, a gate, an inject, the
//   run) and was not withdrawn. What a thing has come to is what its acts make of it, in order; so
//   a withdrawal takes one act out and lets the others have their say again.

import { gateTable } from "../charts/gate.chart.ts";
import type { GateChartState } from "../charts/gate.chart.ts";
import type { HoldChartState } from "../charts/hold.chart.ts";
import type { InjectChartState } from "../charts/inject.chart.ts";
import { runTable } from "../charts/run.chart.ts";
import type { RunChartState } from "../charts/run.chart.ts";
import { stepTable } from "../charts/step.chart.ts";
import type { StepChartState } from "../charts/step.chart.ts";
import type { Gate } from "../procedure/gates-of-step.ts";
import type {
  BranchId,
  GateId,
  Identity,
  InjectId,
  PositionId,
  StepId,
  TaskId,
} from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Step } from "../procedure/step.ts";
import { startingWorld } from "./apply-effects.ts";
import type { WorldInFold } from "./apply-effects.ts";
import type { Entry, EntryBody, EntryName, HoldScope } from "./entry.ts";
import type { DeviceId, HoldId } from "./ids.ts";
import type { Author } from "./rights.ts";
import type {
  CheckInRun,
  GateReport,
  HoldRequest,
  InjectInRun,
  InjectResponse,
  LogLine,
  NoteInRun,
  RealStop,
  RunPhase,
  Sighting,
  Variance,
} from "./run-state.ts";

/** A run in the middle of its fold. */
export type RunInFold = {
  readonly index: ProcedureIndex;
  procedure: Identity | null;
  title: string;
  state: RunChartState;
  readonly acts: RunAct[];
  openedAtMs: number | null;
  startedAtMs: number | null;
  closedAtMs: number | null;
  realStop: RealStop | null;
  readonly steps: ReadonlyMap<StepId, StepInFold>;
  readonly tasksInPlay: Set<TaskId>;
  /** Steps that are done, in the order of their being done. */
  readonly stepsDone: StepId[];
  world: WorldInFold;
  readonly holds: Map<HoldId, HoldInFold>;
  /** Those that are not released. */
  readonly standingHolds: Set<HoldInFold>;
  readonly holdRequests: HoldRequest[];
  readonly injects: Map<InjectId, InjectInFold>;
  readonly sightings: Sighting[];
  readonly checks: CheckInRun[];
  readonly notes: NoteInRun[];
  readonly variances: Variance[];
  readonly log: LogLine[];
  /** For each device: what it has seen of each other, by what it has written so far. */
  readonly seenByDevice: Map<DeviceId, Map<DeviceId, number>>;
  lastAtMs: number | null;
};

/** An entry on its turn. */
export type Turn = {
  readonly entry: Entry;
  readonly name: EntryName;
  readonly atMs: number;
  readonly author: Author;
};

/** What became of an entry, as its log line says. */
export type Outcome = LogLine["outcome"];

/**
 * An act about the run as a whole. The opening, a real stop and its end are none: they stand for
 * good.
 */
export type RunAct = {
  readonly name: EntryName;
  readonly kind:
    | "run.started"
    | "run.terminated"
    | "run.aborted"
    | "run.closing-started"
    | "run.closed";
  readonly atMs: number;
};

/**
 * A step in the middle of the fold: its acts, and what they have come to. Times are on the hub's
 * clock.
 */
export type StepInFold = {
  readonly step: Step;
  readonly gates: ReadonlyMap<GateId, GateInFold>;
  readonly acts: StepAct[];
  readonly branchActs: BranchAct[];
  state: StepChartState;
  startedAtMs: number | null;
  finishedAtMs: number | null;
  reason: string | null;
  branch: BranchId | null;
};

/** An act about a step. `reason`: why, or what remains of it; null where the kind gives none. */
export type StepAct = {
  readonly name: EntryName;
  readonly kind:
    | "step.started"
    | "step.done"
    | "step.partly-done"
    | "step.deferred"
    | "step.not-performed";
  readonly atMs: number;
  readonly reason: string | null;
};

/** An act that chose a branch of a step's choice; the last one that stands decides. */
export type BranchAct = { readonly name: EntryName; readonly branch: BranchId };

/** A gate in the middle of the fold: its acts, and what they have come to. */
export type GateInFold = {
  readonly gate: Gate;
  readonly acts: GateAct[];
  state: GateChartState;
  acknowledgedBy: EntryName | null;
  /** Who acknowledged, as `actingAs` says. */
  acknowledgedAs: string | null;
  openedBy: EntryName | null;
  readonly confirmations: { readonly name: EntryName; readonly actingAs: string }[];
  readonly reports: GateReport[];
  /** The last report of each device. */
  readonly lastReports: Map<DeviceId, GateReport>;
  reason: string | null;
};

/** An act about a gate. */
export type GateAct = {
  readonly name: EntryName;
  /** For whom it was made: the position, else the author's own lane, else the device. */
  readonly actingAs: string;
  readonly body: Extract<EntryBody, { readonly kind: `gate.${string}` }>;
};

/**
 * A hold, from the entry that raised it. It has no acts: it keeps its acknowledgements and
 * releases.
 */
export type HoldInFold = {
  readonly id: HoldId;
  readonly scope: HoldScope;
  readonly lanes: readonly PositionId[];
  readonly reason: string;
  readonly inject: InjectId | null;
  readonly raisedBy: EntryName;
  readonly raisedFor: PositionId | null;
  readonly raisedAtMs: number;
  readonly acknowledgements: { readonly name: EntryName; readonly lane: PositionId }[];
  /** Every entry that released it, the withdrawal of the one that raised it among them. */
  readonly releases: EntryName[];
  state: HoldChartState;
  releasedAtMs: number | null;
};

/** An inject that an entry was about: its acts, and what they have come to. */
export type InjectInFold = {
  readonly acts: InjectAct[];
  state: InjectChartState;
  facts: Omit<InjectInRun, "state" | "responses">;
  readonly responses: InjectResponse[];
};

/** An act about an inject; `position` is for whom it was made. */
export type InjectAct = {
  readonly name: EntryName;
  readonly position: PositionId | null;
  readonly atMs: number;
  readonly body: Extract<EntryBody, { readonly kind: `inject.${string}` }>;
};

/** Two reports of one fact within this are one report and its corroboration. */
export const corroborationMsMax = 30_000;

/** A run of which nothing is known yet. */
export function beginRun(index: ProcedureIndex): RunInFold {
  return {
    index,
    procedure: null,
    title: "",
    state: runTable.initial,
    acts: [],
    openedAtMs: null,
    startedAtMs: null,
    closedAtMs: null,
    realStop: null,
    steps: new Map(index.procedure.steps.map((step) => [step.id, beginStep(index, step)])),
    tasksInPlay: new Set(),
    stepsDone: [],
    world: startingWorld(index.procedure),
    holds: new Map(),
    standingHolds: new Set(),
    holdRequests: [],
    injects: new Map(),
    sightings: [],
    checks: [],
    notes: [],
    variances: [],
    log: [],
    seenByDevice: new Map(),
    lastAtMs: null,
  };
}

function beginStep(index: ProcedureIndex, step: Step): StepInFold {
  const gates = index.gatesByStep.get(step.id) ?? [];
  return {
    step,
    gates: new Map(gates.map((gate) => [gate.id, beginGate(gate)])),
    acts: [],
    branchActs: [],
    state: stepTable.initial,
    startedAtMs: null,
    finishedAtMs: null,
    reason: null,
    branch: null,
  };
}

function beginGate(gate: Gate): GateInFold {
  return {
    gate,
    acts: [],
    state: gateTable.initial,
    acknowledgedBy: null,
    acknowledgedAs: null,
    openedBy: null,
    confirmations: [],
    reports: [],
    lastReports: new Map(),
    reason: null,
  };
}

/** The phase as screens show it: a real stop takes over all others. */
export function phaseOf(state: RunChartState): RunPhase {
  if (state.startsWith("real-stop.")) return "real-stop";
  return state.slice("no-stop.".length) as RunPhase;
}

/** Whether two names name one entry. */
export function isSameEntry(a: EntryName, b: EntryName): boolean {
  return a.seq === b.seq && a.device === b.device;
}

/** Takes out of a list what the named entry put in; tells whether it was there. */
export function takeOut<Part>(
  partsMutable: Part[],
  nameOf: (part: Part) => EntryName,
  name: EntryName,
): boolean {
  const place = partsMutable.findLastIndex((part) => isSameEntry(nameOf(part), name));
  if (place === -1) return false;
  partsMutable.splice(place, 1);
  return true;
}
