// Putting a case live, and ending it, as the entries that this takes.

import type { InjectId, PositionId } from "../../machines/procedure/ids.ts";
import type { HoldScope } from "../../machines/record/entry.ts";
import type { HoldId } from "../../machines/record/ids.ts";
import type { HoldInRun } from "../../machines/record/run-state.ts";
import type { LiveRun } from "../live/live-run.ts";

/** A case that is to go live. */
export type CaseToFire = {
  readonly inject: InjectId;
  readonly name: string;
  readonly card: string;
  readonly shownTo: readonly PositionId[];
  readonly holds: HoldScope | null;
};

/** Shows the card and, if the case holds somebody, raises the hold in its name. True: all is kept. */
export async function fireInject(live: LiveRun, fired: CaseToFire): Promise<boolean> {
  const { inject, name, card, shownTo, holds } = fired;
  const isLive = await live.take({ kind: "inject.fired", inject, name, card, shownTo }, null);
  if (!isLive || holds === null) return isLive;
  // The reason tells lanes that are not shown the card nothing of the case.
  const reason = "Simulated case";
  return live.take({ kind: "hold.raised", scope: holds, reason, inject }, null);
}

/** Ends the case and releases every hold that stands in its name. True: all is kept. */
export async function clearInject(live: LiveRun, inject: InjectId): Promise<boolean> {
  const holds = standingHolds(live, inject);
  if (!(await live.take({ kind: "inject.cleared", inject }, null))) return false;
  for (const hold of holds) {
    if (!(await live.take({ kind: "hold.released", hold }, null))) return false;
  }
  return true;
}

/** Holds that stand in the name of the case. */
export function standingHolds(live: LiveRun, inject: InjectId): readonly HoldId[] {
  const holds = Object.entries(live.state.value.holds) as [HoldId, HoldInRun][];
  return holds
    .filter(([, hold]) => hold.inject === inject && hold.releasedAtMs === null)
    .map(([id]) => id);
}
