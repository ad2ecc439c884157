// What a run has come to: the result of folding its record. Plain data, equal byte for byte
// (as canonical JSON) on all devices that hold the same entries.
//
// Times are milliseconds since 1970 on the hub's clock ("corrected"), as `orderEntries` gives them.

import type { GateChartState } from "../charts/gate.chart.ts";
import type { HoldChartState } from "../charts/hold.chart.ts";
import type { InjectChartState } from "../charts/inject.chart.ts";
import type { StepChartState } from "../charts/step.chart.ts";
import type {
  ArmId,
  BranchId,
  CheckId,
  GateId,
  HardwareId,
  Identity,
  InjectId,
  ItemId,
  PositionId,
  ReadingId,
  SiteId,
  StepId,
  TetherId,
} from "../procedure/ids.ts";
import type { Unit } from "../units/quantity.ts";
import type { Place } from "../procedure/place.ts";
import type { EntryKind, EntryName, HoldScope, Role } from "./entry.ts";
import type { DeviceId, HoldId } from "./ids.ts";

/** The whole state of a run. Keys of records are sorted only when written as canonical JSON. */
export type RunState = {
  readonly procedure: Identity | null;
  readonly title: string;
  readonly phase: RunPhase;
  readonly openedAtMs: number | null;
  readonly startedAtMs: number | null;
  readonly closedAtMs: number | null;
  /** The last real stop, until a director resumes the run. */
  readonly realStop: RealStop | null;
  readonly devices: Readonly<Record<DeviceId, DeviceInRun>>;
  readonly steps: Readonly<Record<StepId, StepInRun>>;
  readonly holds: Readonly<Record<HoldId, HoldInRun>>;
  readonly holdRequests: readonly HoldRequest[];
  readonly injects: Readonly<Record<InjectId, InjectInRun>>;
  readonly items: Readonly<Record<ItemId, Place>>;
  readonly sightings: readonly Sighting[];
  readonly persons: Readonly<Record<PositionId, PersonInRun>>;
  /** Sites at which each tether is anchored; none: stowed. */
  readonly tethers: Readonly<Record<TetherId, readonly SiteId[]>>;
  readonly hardware: Readonly<Record<HardwareId, string>>;
  readonly arms: Readonly<Record<ArmId, SiteId>>;
  readonly checks: readonly CheckInRun[];
  readonly notes: readonly NoteInRun[];
  readonly variances: readonly Variance[];
  /** Every entry in order, and what became of it. */
  readonly log: readonly LogLine[];
};

/** States of the run chart. `unopened` before the first entry. */
export type RunPhase =
  | "unopened"
  | "briefing"
  | "under-way"
  | "holding"
  | "terminating"
  | "aborting"
  | "closing"
  | "closed"
  | "real-stop";

/**
 * A real stop: the entry that called it, and the devices that have acknowledged it, in that order.
 */
export type RealStop = {
  readonly by: EntryName;
  readonly position: PositionId | null;
  readonly atMs: number;
  readonly reason: string;
  readonly acknowledgedBy: readonly DeviceId[];
};

/** A device that opened the run, was let in or struck off; role and lane as it was last let in. */
export type DeviceInRun = {
  readonly role: Role;
  readonly lane: PositionId | null;
  readonly name: string;
  readonly joinedAtMs: number;
  readonly struckOffAtMs: number | null;
};

/** States of the step chart. */
export type StepState = StepChartState;

/** What a step has come to. */
export type StepInRun = {
  readonly state: StepState;
  /** False: belongs to a contingency task that no choice has brought into play. */
  readonly inPlay: boolean;
  /** Why it can't start (or be called done) yet; empty when nothing is in the way. */
  readonly blocks: readonly Block[];
  readonly startedAtMs: number | null;
  readonly finishedAtMs: number | null;
  /** Time on hold between start and finish, counted apart; standing holds up to the last entry. */
  readonly heldMs: number;
  /** Why it was deferred or not performed; what remains of it; null otherwise. */
  readonly reason: string | null;
  readonly gates: Readonly<Record<GateId, GateInRun>>;
  readonly branch: BranchId | null;
};

/** What is in a step's way. */
export type Block =
  | { readonly on: "step"; readonly step: StepId }
  | { readonly on: "meet"; readonly lane: PositionId; readonly step: StepId }
  | { readonly on: "item"; readonly sought: ItemId; readonly at: Place }
  | { readonly on: "condition"; readonly says: string }
  | { readonly on: "window"; readonly window: string }
  | { readonly on: "gate"; readonly gate: GateId }
  | { readonly on: "choice" }
  | { readonly on: "hold"; readonly hold: HoldId }
  | { readonly on: "phase"; readonly phase: RunPhase };

/** States of the gate chart. */
export type GateState = GateChartState;

/** What a gate has come to. `reason`: why it was overridden; null if it was not. */
export type GateInRun = {
  readonly state: GateState;
  readonly acknowledgedBy: EntryName | null;
  readonly openedBy: EntryName | null;
  /** Counts or readings reported, in order. */
  readonly reports: readonly GateReport[];
  readonly reason: string | null;
};

/** One count (its unit is "1") or reading, in the unit in which it was reported. */
export type GateReport = {
  readonly by: EntryName;
  readonly value: number;
  readonly unit: Unit;
};

/** States of the hold chart. */
export type HoldState = HoldChartState;

/** What a hold has come to; `acknowledgedLanes` in the order of their acknowledging. */
export type HoldInRun = {
  readonly state: HoldState;
  readonly scope: HoldScope;
  readonly reason: string;
  readonly inject: InjectId | null;
  readonly raisedBy: EntryName;
  readonly raisedFor: PositionId | null;
  readonly raisedAtMs: number;
  readonly acknowledgedLanes: readonly PositionId[];
  readonly releasedAtMs: number | null;
};

/** A hold that somebody asked for instead of raising it; it holds nobody. */
export type HoldRequest = {
  readonly by: EntryName;
  readonly position: PositionId | null;
  readonly atMs: number;
  readonly reason: string;
};

/** States of the inject chart; one that nothing was entered about is not in the state. */
export type InjectState = InjectChartState;

/** What an inject has come to; name and card are empty until it is fired. */
export type InjectInRun = {
  readonly state: InjectState;
  readonly name: string;
  readonly card: string;
  readonly shownTo: readonly PositionId[];
  readonly liveAtMs: number | null;
  readonly responses: readonly InjectResponse[];
  readonly grade: "met" | "partly-met" | "not-met" | null;
  readonly remark: string;
  readonly clearedAtMs: number | null;
};

/** One answer to an inject, in the words of who gave it. */
export type InjectResponse = {
  readonly by: EntryName;
  readonly position: PositionId | null;
  readonly atMs: number;
  readonly text: string;
};

/** Where a person is; nulls: at no site, in no foot restraint. */
export type PersonInRun = { readonly site: SiteId | null; readonly restraint: ItemId | null };

/** Where somebody saw an item, which need not be where the record has it. */
export type Sighting = {
  readonly by: EntryName;
  readonly atMs: number;
  readonly item: ItemId;
  readonly at: Place;
};

/** One carrying out of a recurring check; each reading is in the unit that the check gives it. */
export type CheckInRun = {
  readonly by: EntryName;
  readonly position: PositionId | null;
  readonly atMs: number;
  readonly check: CheckId;
  readonly readings: Readonly<Record<ReadingId, number>>;
};

/** A note, and the step it is about, if any. */
export type NoteInRun = {
  readonly by: EntryName;
  readonly position: PositionId | null;
  readonly atMs: number;
  readonly text: string;
  readonly step: StepId | null;
  readonly oddity: boolean;
};

/** Why an entry is a variance. */
export type VarianceCause =
  | "gate-closed"
  | "hold-seen"
  | "hold-not-seen"
  | "out-of-order"
  | "beyond-rights"
  | "limit-exceeded"
  | "reports-differ"
  | "done-twice";

/** An entry that happened against a closed gate, a hold or a limit. */
export type Variance = {
  readonly cause: VarianceCause;
  readonly by: EntryName;
  readonly position: PositionId | null;
  readonly atMs: number;
  readonly kind: EntryKind;
  readonly step: StepId | null;
  /** What was in the way; empty where the cause says it all. */
  readonly blocks: readonly Block[];
};

/** One entry as the log shows it. */
export type LogLine = {
  readonly by: EntryName;
  readonly position: PositionId | null;
  readonly atMs: number;
  /** How far off the time may be; null: its device's clock was never checked against the hub's. */
  readonly errorMs: number | null;
  readonly kind: EntryKind;
  readonly step: StepId | null;
  /** `applied`, or why it changed nothing. */
  readonly outcome: "applied" | "set-aside" | "withdrawn" | "no-effect";
};
