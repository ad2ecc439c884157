// What makes one step wait for another: its lane's order, `after`, and meets.
//
// Definition: a *link* from u to v says that u must be done before v may start.
// [step-links 1] A step waits for the one before it in its lane, for those it comes after, and for
//   whatever a mate of its meet waits for; steps out of play count for nothing.

import type { MeetId, PositionId, StepId } from "../procedure/ids.ts";
import type { Step } from "../procedure/step.ts";

/** Why `to` waits for `from`. */
export type StepLink = {
  readonly sort: "lane" | "after" | "meet";
  readonly from: StepId;
  readonly to: StepId;
  /** For a meet: the mate that waits for `from` by itself; else the step itself. */
  readonly mate: StepId;
  readonly meet: MeetId | null;
};

/** Steps in play with what each waits for; numbers are places in `steps`. */
export type LinkedSteps = {
  readonly steps: readonly Step[];
  readonly numbers: ReadonlyMap<StepId, number>;
  /** By number of the waiting step. */
  readonly linksInto: readonly (readonly StepLink[])[];
};

/**
 * Links the steps in play.
 *
 * @param steps in the document's order
 * @param isCut links that are left out, by `linkKey`
 * Errors: none.
 */
export function linkSteps(
  steps: readonly Step[],
  isCut: ReadonlySet<string> = new Set(),
): LinkedSteps {
  const numbers = new Map(steps.map((step, number) => [step.id, number]));
  const ownLinks = ownLinksOf(steps, numbers, isCut);
  const mates = new Map<MeetId, Step[]>();
  for (const step of steps) {
    if (step.meet === null || isCut.has(leaveKey(step.id))) continue;
    const met = mates.get(step.meet);
    if (met === undefined) mates.set(step.meet, [step]);
    else met.push(step);
  }
  const linksInto = steps.map((step, number) => {
    const own = ownLinks[number] as StepLink[];
    const met = step.meet === null ? undefined : mates.get(step.meet);
    if (met === undefined || isCut.has(leaveKey(step.id))) return own;
    return [...own, ...met.flatMap((mate) => meetLinks(step, mate, ownLinks, numbers))];
  });
  return { steps, numbers, linksInto };
}

/** Names a link's own cause, for cutting it. Errors: none. */
export function linkKey(link: StepLink): string {
  return link.sort === "after" ? `after ${link.to} ${link.from}` : leaveKey(link.to);
}

function leaveKey(step: StepId): string {
  return `meet ${step}`;
}

function ownLinksOf(
  steps: readonly Step[],
  numbers: ReadonlyMap<StepId, number>,
  isCut: ReadonlySet<string>,
): StepLink[][] {
  const lastInLane = new Map<PositionId, StepId>();
  return steps.map((step) => {
    const links: StepLink[] = [];
    const previous = lastInLane.get(step.lane);
    lastInLane.set(step.lane, step.id);
    if (previous !== undefined) {
      links.push({ sort: "lane", from: previous, to: step.id, mate: step.id, meet: null });
    }
    for (const from of step.after) {
      const link: StepLink = { sort: "after", from, to: step.id, mate: step.id, meet: null };
      if (numbers.has(from) && !isCut.has(linkKey(link))) links.push(link);
    }
    return links;
  });
}

function meetLinks(
  step: Step,
  mate: Step,
  ownLinks: readonly (readonly StepLink[])[],
  numbers: ReadonlyMap<StepId, number>,
): StepLink[] {
  if (mate === step) return [];
  const links = ownLinks[numbers.get(mate.id) as number] as readonly StepLink[];
  return links.map(({ from }) => ({
    sort: "meet",
    from,
    to: step.id,
    mate: mate.id,
    meet: step.meet,
  }));
}
