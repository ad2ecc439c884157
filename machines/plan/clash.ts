// Clashes: two steps that nothing orders, and that can't both come out right in either order.
//
// [clash 1] A clash is a fault, unless the clock alone keeps the two in the order that works: then it
//   is a doubt.
// [clash 2] Of clashes over one thing only the tightest are told: those whose mend mends the rest.

import type { StepId } from "../procedure/ids.ts";
import type { Step } from "../procedure/step.ts";
import type { GapSeconds } from "./clock-apart.ts";
import type { FindingGrade, Mend, Witness } from "./finding.ts";
import { isBefore, mayWaitFor } from "./happens-before.ts";
import type { PlanOrder } from "./happens-before.ts";
import { stepWords } from "./plan-words.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";

/** Two steps by number; `first` ending before `second` starts would do, if `isMended` says so. */
export type Clash = {
  readonly first: number;
  readonly second: number;
  readonly isMended: boolean;
  /** False: it must be ordered, and this way round is but the planned one. */
  readonly isSure: boolean;
};

/** Tells of clashes within one plan order. */
export type ClashTeller = {
  readonly grade: (clash: Clash) => FindingGrade;
  readonly witness: (clash: Clash) => Witness;
  /** The `after` that orders the two; words alone if it would bring a circle or would not do. */
  readonly mend: (clash: Clash) => Mend;
};

/** Prepares to tell of clashes. Errors: none. */
export function createClashTeller(
  index: ProcedureIndex,
  order: PlanOrder,
  gapSeconds: GapSeconds,
): ClashTeller {
  const idOf = (number: number): StepId => (order.steps[number] as Step).id;
  return {
    grade: ({ first, second, isMended }) =>
      isMended && gapSeconds(first, second) >= 0 ? "doubt" : "fault",
    witness: ({ first, second }) => ({
      sort: "orders",
      orders: [
        [idOf(first), idOf(second)],
        [idOf(second), idOf(first)],
      ],
    }),
    mend: ({ first, second, isMended }) => {
      const [before, after] = [stepWords(index, idOf(first)), stepWords(index, idOf(second))];
      if (!isMended) return { says: "Neither order works: mend one of the two first.", edits: [] };
      if (!mayWaitFor(order, second, first)) {
        return { says: `Part the meet, or let ${after} start once ${before} is done.`, edits: [] };
      }
      return {
        says: `Let ${after} come after ${before}, or have both meet.`,
        edits: [{ edit: "add-after", step: idOf(second), after: idOf(first) }],
      };
    },
  };
}

/** Those that no other one's mend takes along; see [clash 2]. Errors: none. */
export function tightestClashes<Any extends Clash>(
  order: PlanOrder,
  clashes: readonly Any[],
): readonly Any[] {
  const seen = new Map<string, Any>();
  for (const clash of clashes) {
    const key = [clash.first, clash.second].sort((a, b) => a - b).join(" ");
    const known = seen.get(key);
    seen.set(key, known === undefined ? clash : joinClashes(known, clash));
  }
  const distinct = [...seen.values()];
  return distinct.filter((clash) => !distinct.some((other) => takesAlong(order, other, clash)));
}

// Two reasons to order the same two: if they want it both ways round, no order does.
function joinClashes<Any extends Clash>(known: Any, other: Any): Any {
  if (!known.isMended || !other.isSure) return known;
  if (!known.isSure || !other.isMended) return other;
  return known.first === other.first ? known : { ...known, isMended: false };
}

function takesAlong(order: PlanOrder, tight: Clash, loose: Clash): boolean {
  if (tight === loose || !tight.isMended || !loose.isMended) return false;
  const isFromLater = loose.first === tight.first || isBefore(order, loose.first, tight.first);
  const isToEarlier = loose.second === tight.second || isBefore(order, tight.second, loose.second);
  return isFromLater && isToEarlier;
}
