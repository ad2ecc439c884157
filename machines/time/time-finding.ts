// What the time check has to say, as data in the procedure's own parts; words are put to it elsewhere.

import type { ClockId, StepId, TaskId, WindowId } from "../procedure/ids.ts";
import type { BoundReason, PointMeaning } from "./procedure-network.ts";

/** One thing that the time check found. */
export type TimeFinding = {
  /**
   * - `order-circle`: steps wait for each other, so that none of them can start.
   * - `clock-cannot-be-kept`: a clock can run out, or cannot be waited out, whatever is started when.
   * - `run-limit-cannot-be-kept`: the run can take longer than its limit, whatever is started when.
   * - `window-can-be-missed`: no span of its windows is sure to be open when the step can start.
   */
  readonly kind:
    | "order-circle"
    | "clock-cannot-be-kept"
    | "run-limit-cannot-be-kept"
    | "window-can-be-missed";
  /** A fault: the plan cannot stand. A doubt: it stands by luck, or with what `deferring` names. */
  readonly grade: "fault" | "doubt";
  /** The clocks of the witness, the one that the finding is about first. */
  readonly clocks: readonly ClockId[];
  readonly windows: readonly WindowId[];
  /** The steps of the witness, each once, in its order. */
  readonly steps: readonly StepId[];
  /** How many seconds are missing at the worst. */
  readonly missingSeconds: number;
  /** A circle of bounds that cannot all be kept; empty where a window has no span left. */
  readonly witness: readonly WitnessLeg[];
  /** Contingency tasks that must come up for it; none: it is so in the plan as it stands. */
  readonly onlyWith: readonly TaskId[];
  /** Whether it would be kept if every step took its likely time. */
  readonly isKeptAtLikely: boolean;
  /** Deferrable tasks without which it is kept, the fewest that were found; none: deferring is no way. */
  readonly deferring: readonly TaskId[];
  /** Single changes each of which mends it, the smallest first. */
  readonly mends: readonly TimeMend[];
  /** Changes that mend it together at less in all; none: no such were found. */
  readonly mendsTogether: readonly TimeMend[];
};

/** One leg of a witness: `to` is at most `seconds` after `from` (below nothing: at least before). */
export type WitnessLeg = {
  readonly from: PointMeaning;
  readonly to: PointMeaning;
  readonly seconds: number;
  readonly why:
    | BoundReason
    /** The step may take no more than its least, or as much as its most. */
    | { readonly sort: "duration"; readonly step: StepId; readonly takes: "least" | "most" };
};

/** A change of one number of the procedure, from its seconds to others. */
export type TimeMend = {
  readonly what:
    | { readonly sort: "clock-at-least" | "clock-at-most"; readonly clock: ClockId }
    | { readonly sort: "run-limit" }
    | { readonly sort: "window-opens" | "window-closes"; readonly step: StepId }
    | { readonly sort: "duration-least" | "duration-most"; readonly step: StepId };
  readonly fromSeconds: number;
  readonly toSeconds: number;
};
