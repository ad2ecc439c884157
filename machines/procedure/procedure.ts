// The procedure: what is planned.
//
// A procedure is a JSON document. These are its shapes; `procedure.schema.json` beside this file is
// the same as a JSON Schema, and `read-procedure.ts` is the only way from a text to a `Procedure`.
//
// Definition: a *lane* is the steps of one position, in the order in which the document lists them.
// Definition: a *place* is where an item is: at a site, inside another item, or with a position.
// [procedure 1] Ids are unique within their list, and every id that is named exists.
// [procedure 2] Every duration has 0 <= min <= likely <= max.
// [procedure 3] Effects are data: what a step does to persons, items, tethers, hardware and the arm
//   stands in `effects`, never only in its text.
// [procedure 4] A quantity keeps the unit and the value that were typed; it is converted when used.

import type { Quantity, Unit } from "../units/quantity.ts";
import type {
  ArmId,
  CheckId,
  ClockId,
  HardwareId,
  ItemId,
  MeetId,
  PathId,
  PositionId,
  ReadingId,
  SiteId,
  StepId,
  TaskId,
  TetherId,
  WindowId,
} from "./ids.ts";
import type { Condition } from "./condition.ts";
import type { Duration } from "./duration.ts";
import type { Place } from "./place.ts";
import type { Hazard, Step, StepSort } from "./step.ts";

/** The format's name, first field of every procedure document. */
export const procedureFormat = "lanehold.procedure";
/** The newest version of the format that this code reads and the one that it writes. */
export const procedureFormatVersion = 1;

/** A whole procedure, validated. */
export type Procedure = {
  readonly format: typeof procedureFormat;
  readonly formatVersion: number;
  /** Stays the same over all revisions. */
  readonly id: string;
  readonly title: string;
  /** What people call this revision: "A", "B", "3". */
  readonly revision: string;
  readonly summary: string;
  readonly setting: Setting;
  readonly displayUnits: DisplayUnits;
  readonly positions: readonly Position[];
  readonly sites: readonly Site[];
  readonly paths: readonly Path[];
  readonly items: readonly Item[];
  readonly tethers: readonly Tether[];
  readonly arms: readonly Arm[];
  readonly hardware: readonly Hardware[];
  readonly meets: readonly Meet[];
  readonly tasks: readonly Task[];
  readonly steps: readonly Step[];
  readonly clocks: readonly Clock[];
  readonly windows: readonly TimeWindow[];
  readonly limits: Limits;
  readonly recurringChecks: readonly RecurringCheck[];
  readonly briefing: readonly BriefingTopic[];
  /** Hazards that hold for the whole run; shown with the briefing. */
  readonly standingHazards: readonly Hazard[];
};

/** Where the procedure is rehearsed. Durations learned in one setting are not used in another. */
export type Setting = "pool" | "high-bay" | "analogue-site";

/**
 * Units in which quantities are shown; the document may type each value in any unit of its sort.
 */
export type DisplayUnits = {
  readonly torque: Unit;
  readonly pressure: Unit;
  readonly heatRate: Unit;
  readonly mass: Unit;
  readonly length: Unit;
};

/**
 * A quantity with the line that says where it comes from; `verified` is false until a person
 * confirms it.
 */
export type SourcedQuantity = Quantity & { readonly source: string; readonly verified: boolean };

/** What a position does: work in a suit, talk from inside, move an arm, or support. */
export type PositionSort = "suited" | "inside" | "arm" | "support";

/** One who has a lane: a suited crew member, the inside reader, the arm operator, support. */
export type Position = {
  readonly id: PositionId;
  /** Short, as it is called on the loop: "EV1". */
  readonly name: string;
  readonly sort: PositionSort;
  readonly marking: Marking;
  /** Where the person is at the start; null for those who are at no site. */
  readonly startsAt: SiteId | null;
  /** Suited positions only. */
  readonly suit: Suit | null;
};

/** How a lane and its person are drawn, so that they can be told apart without colour too. */
export type Marking = {
  readonly pattern: "solid" | "dashes" | "dots" | "bars" | "waves";
  readonly colour: "blue" | "orange" | "green" | "purple" | "grey";
};

/** What a suit holds and how fast its wearer uses it. */
export type Suit = {
  readonly oxygen: SourcedQuantity;
  readonly scrubber: SourcedQuantity;
  readonly battery: SourcedQuantity;
  readonly batteryLoad: SourcedQuantity;
  readonly coolingWater: SourcedQuantity;
  /** Mean metabolic rate where `metabolicRateBySort` has none. */
  readonly metabolicRate: SourcedQuantity;
  readonly metabolicRateBySort: Readonly<Partial<Record<StepSort, SourcedQuantity>>>;
};

/** What a site is for. */
export type SiteSort = "hatch" | "worksite" | "stowage" | "anchor" | "arm-tip";

/** A place in the mockup. */
export type Site = {
  readonly id: SiteId;
  readonly name: string;
  readonly sort: SiteSort;
  readonly pointMetres: { readonly x: number; readonly y: number; readonly z: number };
  /** How many persons may work there at once. */
  readonly capacity: number;
};

/** A way between two sites, passable both ways. */
export type Path = {
  readonly id: PathId;
  readonly from: SiteId;
  readonly to: SiteId;
  readonly lengthMetres: number;
  readonly duration: Duration;
  /** What forbids it, besides a tether that is too short for it. */
  readonly closedWhile: readonly Condition[];
};

/** What an item is. */
export type ItemSort =
  | "bag"
  | "tool"
  | "foot-restraint"
  | "tether"
  | "cable"
  | "cap"
  | "cover"
  | "part";

/** Something that can be carried. Never loose: it is always in exactly one place. */
export type Item = {
  readonly id: ItemId;
  readonly name: string;
  readonly sort: ItemSort;
  readonly startsAt: Place;
  /** Where it may be at the end; at least one. */
  readonly mustEndAt: readonly Place[];
};

/** A safety tether of a suited person. */
export type Tether = {
  readonly id: TetherId;
  readonly name: string;
  readonly wornBy: PositionId;
  readonly lengthMetres: number;
  readonly anchorSites: readonly SiteId[];
  /** Null: stowed on the suit, not anchored. */
  readonly startsAnchoredAt: SiteId | null;
};

/** An arm whose tip a person may ride. */
export type Arm = {
  readonly id: ArmId;
  readonly name: string;
  /** The site of sort `arm-tip` on which a rider stands. */
  readonly tip: SiteId;
  /** Sites that the tip can be brought to. */
  readonly reaches: readonly SiteId[];
  readonly startsAt: SiteId;
};

/** Fixed hardware whose state other steps rely on. */
export type Hardware = {
  readonly id: HardwareId;
  readonly name: string;
  /** Null: at no site of the mockup (an inhibit set from inside). */
  readonly site: SiteId | null;
  readonly states: readonly string[];
  readonly startsAs: string;
};

/** A point that every lane with a step in it must reach before any of these steps may start. */
export type Meet = { readonly id: MeetId; readonly name: string };

/** A named group of steps over one or more lanes. */
export type Task = {
  readonly id: TaskId;
  readonly name: string;
  /** 1 is the most important. */
  readonly priority: number;
  readonly deferrable: boolean;
  readonly getAhead: boolean;
  /** True: its steps are in play only once a choice has named the task. */
  readonly contingency: boolean;
};

/** Bounds on the time between two moments; at least one of the two is not null. */
export type Clock = {
  readonly id: ClockId;
  readonly name: string;
  readonly sort: "thermal" | "power-off" | "other";
  readonly from: Moment;
  readonly to: Moment;
  readonly atLeastSeconds: number | null;
  readonly atMostSeconds: number | null;
  readonly why: string;
};

/** The start or the end of a step. */
export type Moment = { readonly step: StepId; readonly at: "start" | "done" };

/** Spans of time, in seconds from the start of the run, in which something is so. */
export type TimeWindow = {
  readonly id: WindowId;
  readonly name: string;
  readonly sort: "light" | "dark" | "arm" | "loop";
  readonly spans: readonly { readonly fromSeconds: number; readonly toSeconds: number }[];
};

/** What the run as a whole must keep. */
export type Limits = {
  readonly runSecondsMax: number;
  readonly reserveSeconds: number;
  /** From every point of the plan, each suited person reaches the hatch within this. */
  readonly hatchWithinSeconds: number;
};

/** A check that returns every so many seconds. */
export type RecurringCheck = {
  readonly id: CheckId;
  readonly name: string;
  readonly everySeconds: number;
  readonly positions: readonly PositionId[];
  readonly readings: readonly CheckReading[];
};

/** One reading of a recurring check and its limits (both included; null: none). */
export type CheckReading = {
  readonly id: ReadingId;
  readonly label: string;
  readonly unit: Unit;
  readonly min: number | null;
  readonly max: number | null;
};

/** A topic of the briefing before the first step. */
export type BriefingTopic = {
  readonly id: string;
  readonly title: string;
  readonly presenter: PositionId;
  readonly text: string;
};
