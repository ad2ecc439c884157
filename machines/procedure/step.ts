// The step: one act of one position, with its hazards, gates, effects and conditions.

import type {
  ArmId,
  BranchId,
  GateId,
  HardwareId,
  ItemId,
  MeetId,
  PathId,
  PositionId,
  SiteId,
  StepId,
  TaskId,
  TetherId,
  WindowId,
} from "./ids.ts";
import type { Condition } from "./condition.ts";
import type { Duration } from "./duration.ts";
import type { Place } from "./place.ts";
import type { Quantity, Unit } from "../units/quantity.ts";

/** One act of one position. */
export type Step = {
  readonly id: StepId;
  readonly lane: PositionId;
  readonly task: TaskId;
  readonly sort: StepSort;
  /** What to do, as the person reads it; an imperative sentence. */
  readonly text: string;
  /** Where it is done; for a translation, where it ends. Null: at no site (inside, arm console). */
  readonly site: SiteId | null;
  readonly duration: Duration;
  readonly hazards: readonly Hazard[];
  /** Besides those that hazards bring by themselves; see `gatesOfStep`. */
  readonly gates: readonly StepGate[];
  readonly requires: readonly Condition[];
  readonly effects: readonly Effect[];
  /** Steps, in any lane, that must be finished first; the lane's own order needs no mention. */
  readonly after: readonly StepId[];
  readonly meet: MeetId | null;
  readonly needsWindows: readonly WindowId[];
  readonly fasteners: Fasteners | null;
  readonly repeat: Repeat | null;
  readonly choice: Choice | null;
  /** What the reader calls and what the doer answers, where it is more than the text itself. */
  readonly callOut: CallOut | null;
};

/** What a step does. */
export type StepSort =
  | "egress"
  | "ingress"
  | "translate"
  | "swap-tether"
  | "retrieve"
  | "stow"
  | "install"
  | "remove"
  | "hand-over"
  | "connect"
  | "disconnect"
  | "cap"
  | "release-fasteners"
  | "torque-fasteners"
  | "open-cover"
  | "close-cover"
  | "route-cable"
  | "ride-arm"
  | "move-arm"
  | "inspect"
  | "photograph"
  | "verify"
  | "wait"
  | "talk";

/** A hazard statement. WARNING: may hurt a person. CAUTION: may damage hardware. NOTE: neither. */
export type Hazard = {
  readonly word: "warning" | "caution" | "note";
  /** States the hazard and how to keep clear of it; holds no action of the step. */
  readonly text: string;
  readonly sort:
    | "connector"
    | "pinch"
    | "sharp-edge"
    | "hot-surface"
    | "moving-arm"
    | "stored-energy"
    | "snag"
    | "other";
};

/** What must open before the step may start, or before it may be called done. */
export type StepGate = CountGate | ReadingGate | GoGate;

type GateBase = {
  readonly id: GateId;
  readonly before: "start" | "done";
};

/** Opens when the number is reached. */
export type CountGate = GateBase & {
  readonly sort: "count";
  readonly label: string;
  readonly target: number;
};

/** Opens when a reading lies within its limits (both included; null: no limit on that side). */
export type ReadingGate = GateBase & {
  readonly sort: "reading";
  readonly label: string;
  readonly unit: Unit;
  readonly min: number | null;
  readonly max: number | null;
};

/** Opens when the named position says GO. */
export type GoGate = GateBase & {
  readonly sort: "go";
  readonly from: PositionId;
  readonly reason: string;
  /** What that position does then. */
  readonly meanwhile: string;
};

/** What a step changes when it is done, in the order of the list. */
export type Effect =
  | {
      readonly kind: "item-moved";
      readonly item: ItemId;
      readonly from: Place;
      readonly to: Place;
    }
  | {
      readonly kind: "person-moved";
      readonly position: PositionId;
      readonly from: SiteId;
      readonly to: SiteId;
      /**
       * Paths taken, in order; empty on an arm that moves, or where `from` and the arm's tip
       * coincide.
       */
      readonly via: readonly PathId[];
    }
  | { readonly kind: "tether-anchored"; readonly tether: TetherId; readonly at: SiteId }
  | { readonly kind: "tether-released"; readonly tether: TetherId; readonly at: SiteId }
  | { readonly kind: "restraint-entered"; readonly position: PositionId; readonly item: ItemId }
  | { readonly kind: "restraint-left"; readonly position: PositionId; readonly item: ItemId }
  | { readonly kind: "hardware-set"; readonly hardware: HardwareId; readonly state: string }
  | {
      readonly kind: "arm-moved";
      readonly arm: ArmId;
      readonly from: SiteId;
      readonly to: SiteId;
    };

/** Fasteners that a step works. */
export type Fasteners = {
  readonly count: number;
  readonly turns: number;
  readonly torque: Quantity;
  readonly tool: ItemId;
};

/**
 * A repeated step: until something is so, with one sign-off; or a number of times at an interval.
 */
export type Repeat =
  | { readonly until: string }
  | { readonly times: number; readonly everySeconds: number };

/** A question whose answer brings a contingency task into play, or none. */
export type Choice = {
  readonly question: string;
  readonly branches: readonly Branch[];
};

/** One answer. `task` null: go on as planned. */
export type Branch = {
  readonly id: BranchId;
  readonly label: string;
  readonly task: TaskId | null;
};

/** Challenge and response by voice. */
export type CallOut = { readonly challenge: string; readonly response: string };
