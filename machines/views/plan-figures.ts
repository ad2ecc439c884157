// Figures of a plan for its lead: the worst points of return, and what is left in the suits.
//
// [plan-figures 1] A way back that does not exist is no number.

import { suitUses } from "../consumables/suit-use.ts";
import type { Consumable } from "../consumables/suit-use.ts";
import { siteWords, stepWords } from "../plan/plan-words.ts";
import type { PositionId } from "../procedure/ids.ts";
import type { Position } from "../procedure/procedure.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { usualReturnRules } from "../reach-back/return-rules.ts";
import { returnTimes } from "../reach-back/return-times.ts";
import { formatSpan } from "./format-time.ts";

/** A lane's name and marking. */
export type LaneTold = Pick<Position, "id" | "name" | "marking">;

/** The worst points of return of every suited lane. */
export type WorstReturns = {
  readonly limitSeconds: number;
  readonly lanes: readonly {
    readonly lane: LaneTold;
    readonly terminate: WorstReturn;
    readonly abort: WorstReturn;
  }[];
  /** Which times no procedure states were reckoned with. */
  readonly rules: string;
};

/** The worst point of one lane by one rule. */
export type WorstReturn = {
  /** Null: there is no way back by this rule. */
  readonly seconds: number | null;
  readonly isWithin: boolean;
  readonly step: string;
  readonly site: string;
};

/** What is left in one suit when its lane's last step is done. */
export type SuitMargin = {
  readonly lane: LaneTold;
  readonly limiting: string;
  readonly meanWatts: number;
  /** The limiting one first. */
  readonly left: readonly LeftInSuit[];
};

/** One consumable: the shares of the full suit that are left; below nothing: that much is missing. */
export type LeftInSuit = {
  readonly consumable: string;
  readonly likelyShare: number;
  /** If everything takes its longest; the reserve is not taken off. */
  readonly longestShare: number;
};

/** The worst points of return, contingency tasks left out. Errors: none. */
export function worstReturns(index: ProcedureIndex): WorstReturns {
  const limitSeconds = index.procedure.limits.hatchWithinSeconds;
  const { worstByLane } = returnTimes(index);
  return {
    limitSeconds,
    lanes: [...worstByLane].flatMap(([position, { terminate, abort }]) => {
      const lane = laneOf(index, position);
      if (lane === null) return [];
      const pointOf = (point: typeof abort, seconds: number): WorstReturn => ({
        seconds: Number.isFinite(seconds) ? seconds : null,
        isWithin: seconds <= limitSeconds,
        step: stepWords(index, point.step),
        site: siteWords(index, point.spot.site),
      });
      return [
        {
          lane,
          terminate: pointOf(terminate, terminate.terminateSeconds),
          abort: pointOf(abort, abort.abortSeconds),
        },
      ];
    }),
    rules: rulesWords(),
  };
}

/** What is left in every suit, contingency tasks left out. Errors: none. */
export function suitMargins(index: ProcedureIndex): readonly SuitMargin[] {
  return suitUses(index).flatMap(({ position, limiting, meanWatts, uses }) => {
    const lane = laneOf(index, position);
    if (lane === null) return [];
    const sorted = [
      ...uses.filter(({ consumable }) => consumable === limiting),
      ...uses.filter(({ consumable }) => consumable !== limiting),
    ];
    const left = sorted.map(({ consumable, capacity, left }) => ({
      consumable: consumableNames[consumable],
      likelyShare: shareOf(left.likely, capacity),
      longestShare: shareOf(left.most, capacity),
    }));
    return [{ lane, limiting: consumableNames[limiting], meanWatts, left }];
  });
}

const consumableNames: Readonly<Record<Consumable, string>> = {
  oxygen: "Oxygen",
  scrubber: "Scrubber",
  battery: "Battery",
  coolingWater: "Cooling water",
};

function shareOf(left: number, capacity: number): number {
  return capacity > 0 ? left / capacity : 0;
}

function laneOf(index: ProcedureIndex, id: PositionId): LaneTold | null {
  const position = index.positionsById.get(id);
  return position === undefined
    ? null
    : { id: position.id, name: position.name, marking: position.marking };
}

function rulesWords(): string {
  const { hookSeconds, unhookSeconds, leaveRestraintSeconds, gatherSeconds, source } =
    usualReturnRules;
  return `Reckoned with ${formatSpan(hookSeconds)} to hook a tether, ${formatSpan(unhookSeconds)} to unhook it, ${formatSpan(leaveRestraintSeconds)} to leave a foot restraint and ${formatSpan(gatherSeconds)} to take up an item. ${source}`;
}
