// The run while it is being folded: what `foldRun` changes entry by entry, and nobody else sees.
//
// Definition: an *act* is an entry that had its say about one thing (a step, a gate, an inject, the
//   run) and was not withdrawn. What a thing has come to is what its acts make of it, in order; so
//   a withdrawal takes one act out and lets the others have their say again.
// Definition: a part of the run (a step with its gates, a hold, an inject) is *owned* while the
//   run's owner is its own. A checkpoint or a state that was taken may hold any part that is not.
// [run-in-fold 1] Only owned parts are changed; `stepToWrite` and its like copy one that is not.

import { emptyList } from "../base/rewindable-list.ts";
import type { RewindableList } from "../base/rewindable-list.ts";
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
  /** Whose parts may be changed. */
  owner: FoldOwner;
  procedure: Identity | null;
  title: string;
  state: RunChartState;
  acts: readonly RunAct[];
  openedAtMs: number | null;
  startedAtMs: number | null;
  closedAtMs: number | null;
  realStop: RealStop | null;
  readonly steps: Map<StepId, StepInFold>;
  tasksInPlay: ReadonlySet<TaskId>;
  /** Steps that are done, in the order of their being done. */
  stepsDone: readonly StepId[];
  world: WorldInFold;
  readonly holds: Map<HoldId, HoldInFold>;
  /** Those that are not released. */
  standingHolds: ReadonlySet<HoldId>;
  readonly injects: Map<InjectId, InjectInFold>;
  readonly lists: ListsInFold;
  /** For each device: the places of its entries, by seq from 1. */
  readonly places: Map<DeviceId, number[]>;
  /** For each device: what it has seen of each other, by what it has written so far. */
  readonly seenByDevice: Map<DeviceId, SeenInFold>;
  lastAtMs: number | null;
};

/** What owns parts of a run: nothing but itself. */
export type FoldOwner = { readonly isOwner: true };

/** What grows entry by entry. */
export type ListsInFold = {
  readonly holdRequests: RewindableList<HoldRequest>;
  readonly sightings: RewindableList<Sighting>;
  readonly checks: RewindableList<CheckInRun>;
  readonly notes: RewindableList<NoteInRun>;
  readonly variances: RewindableList<Variance>;
  /** One line for each entry, so that a line's place is its entry's. */
  readonly log: RewindableList<LogLine>;
  readonly folded: RewindableList<Entry>;
};

/** What a device has seen of the others. */
export type SeenInFold = {
  readonly owner: FoldOwner;
  readonly seqsByDevice: Map<DeviceId, number>;
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
  readonly owner: FoldOwner;
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
  readonly owner: FoldOwner;
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
  readonly owner: FoldOwner;
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
  const owner = newOwner();
  return {
    index,
    owner,
    procedure: null,
    title: "",
    state: runTable.initial,
    acts: [],
    openedAtMs: null,
    startedAtMs: null,
    closedAtMs: null,
    realStop: null,
    steps: new Map(index.procedure.steps.map((step) => [step.id, beginStep(index, step, owner)])),
    tasksInPlay: new Set(),
    stepsDone: [],
    world: startingWorld(index.procedure),
    holds: new Map(),
    standingHolds: new Set(),
    injects: new Map(),
    lists: {
      holdRequests: emptyList(),
      sightings: emptyList(),
      checks: emptyList(),
      notes: emptyList(),
      variances: emptyList(),
      log: emptyList(),
      folded: emptyList(),
    },
    places: new Map(),
    seenByDevice: new Map(),
    lastAtMs: null,
  };
}

/** An owner that owns nothing yet. */
export function newOwner(): FoldOwner {
  return { isOwner: true };
}

/** The step, to be changed; undefined if there is none of that name. */
export function stepToWrite(runMutable: RunInFold, id: StepId): StepInFold | undefined {
  const step = runMutable.steps.get(id);
  if (step === undefined || step.owner === runMutable.owner) return step;
  const gates = [...step.gates].map(([gate, inFold]) => [gate, copyGate(inFold)] as const);
  const own: StepInFold = {
    ...step,
    owner: runMutable.owner,
    gates: new Map(gates),
    acts: [...step.acts],
    branchActs: [...step.branchActs],
  };
  runMutable.steps.set(id, own);
  return own;
}

/** The hold, to be changed; undefined if nobody raised it. */
export function holdToWrite(runMutable: RunInFold, id: HoldId): HoldInFold | undefined {
  const hold = runMutable.holds.get(id);
  if (hold === undefined || hold.owner === runMutable.owner) return hold;
  const own: HoldInFold = {
    ...hold,
    owner: runMutable.owner,
    acknowledgements: [...hold.acknowledgements],
    releases: [...hold.releases],
  };
  runMutable.holds.set(id, own);
  return own;
}

/** The inject, to be changed; undefined if nothing was entered about it. */
export function injectToWrite(runMutable: RunInFold, id: InjectId): InjectInFold | undefined {
  const inject = runMutable.injects.get(id);
  if (inject === undefined || inject.owner === runMutable.owner) return inject;
  const own: InjectInFold = {
    ...inject,
    owner: runMutable.owner,
    acts: [...inject.acts],
    responses: [...inject.responses],
  };
  runMutable.injects.set(id, own);
  return own;
}

function copyGate(gate: GateInFold): GateInFold {
  return {
    ...gate,
    acts: [...gate.acts],
    confirmations: [...gate.confirmations],
    reports: [...gate.reports],
    lastReports: new Map(gate.lastReports),
  };
}

function beginStep(index: ProcedureIndex, step: Step, owner: FoldOwner): StepInFold {
  const gates = index.gatesByStep.get(step.id) ?? [];
  return {
    owner,
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

/** Takes out of acts what the named entry put in; tells whether it was there. */
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
