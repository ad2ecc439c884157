// Deadlock: lanes that wait for each other, so that none can go on.
//
// [deadlock 1] There is a circle of waiting exactly if some interleaving leaves steps that can never
//   start; each is reported with the circle itself.
// [deadlock 2] The rest of the check goes on with the smallest mend made: one `after` of the circle
//   taken out, or one step taken out of a meet.

import type { StepId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import type { Step } from "../procedure/step.ts";
import { placeOf } from "./finding.ts";
import type { Finding } from "./finding.ts";
import type { Edit } from "./mend.ts";
import { stepWords } from "./plan-words.ts";
import { linkKey, linkSteps } from "./step-links.ts";
import type { LinkedSteps, StepLink } from "./step-links.ts";

/** Links without a circle, and a finding for each circle that had to be cut. */
export type FreedSteps = {
  readonly linked: LinkedSteps;
  readonly findings: readonly Finding[];
};

/** Finds every circle of waiting, and cuts it at the likeliest place. Errors: none. */
export function freeDeadlocks(index: ProcedureIndex, steps: readonly Step[]): FreedSteps {
  const cut = new Set<string>();
  const findings: Finding[] = [];
  for (;;) {
    const linked = linkSteps(steps, cut);
    const stuck = findStuck(linked);
    const first = stuck.findIndex(Boolean);
    if (first < 0) return { linked, findings };
    if (findings.length >= circlesTold) {
      cutAll(linked, stuck, cut);
      continue;
    }
    const circle = walkBack(linked, stuck, first);
    const weakest = weakestLink(index, circle);
    cut.add(linkKey(weakest));
    findings.push(deadlockFinding(index, circle, weakest));
  }
}

// A document with hundreds of circles is not helped by hundreds of findings.
const circlesTold = 20;

function cutAll(
  { linksInto, numbers }: LinkedSteps,
  stuck: readonly boolean[],
  cut: Set<string>,
): void {
  for (const [number, links] of linksInto.entries()) {
    if (stuck[number] !== true) continue;
    for (const link of links) {
      if (link.sort !== "lane" && stuck[numbers.get(link.from) as number] === true) {
        cut.add(linkKey(link));
      }
    }
  }
}

/** By number, whether a step can never start: it waits for a circle, or is in one. */
function findStuck({ steps, numbers, linksInto }: LinkedSteps): readonly boolean[] {
  const waiting = linksInto.map((links) => links.length);
  const dependants: number[][] = steps.map(() => []);
  for (const [number, links] of linksInto.entries()) {
    for (const link of links) dependants[numbers.get(link.from) as number]?.push(number);
  }
  const free = waiting.flatMap((count, number) => (count === 0 ? [number] : []));
  for (let number = free.pop(); number !== undefined; number = free.pop()) {
    for (const next of dependants[number] as number[]) {
      waiting[next] = (waiting[next] as number) - 1;
      if (waiting[next] === 0) free.push(next);
    }
  }
  return waiting.map((count) => count > 0);
}

// Every stuck step waits for a stuck one; who walks back along them comes round.
function walkBack(
  { numbers, linksInto }: LinkedSteps,
  stuck: readonly boolean[],
  from: number,
): readonly StepLink[] {
  const visited = new Map<number, number>();
  const walked: StepLink[] = [];
  for (let at = from; ;) {
    const seenAt = visited.get(at);
    if (seenAt !== undefined) return walked.slice(seenAt).reverse();
    visited.set(at, walked.length);
    const isStuck = (link: StepLink) => stuck[numbers.get(link.from) as number] === true;
    const links = (linksInto[at] as readonly StepLink[]).filter(isStuck);
    // An `after` or a meet tells more than the lane's own order.
    const link = (links.find(({ sort }) => sort !== "lane") ?? links[0]) as StepLink;
    walked.push(link);
    at = numbers.get(link.from) as number;
  }
}

// The link that reaches furthest back: from late in one lane to early in another.
function weakestLink(index: ProcedureIndex, circle: readonly StepLink[]): StepLink {
  const reach = (link: StepLink) => laneShare(index, link.from) - laneShare(index, link.mate);
  const candidates = circle.flatMap((link) => causesOf(index, link));
  return candidates.reduce((best, link) => (reach(link) > reach(best) ? link : best));
}

// A meet's link can be taken out at the mate's own `after`, or by leaving the meet.
function causesOf(index: ProcedureIndex, link: StepLink): StepLink[] {
  if (link.sort === "lane") return [];
  if (link.sort === "after") return [link];
  const mate = index.stepsById.get(link.mate);
  const byAfter = mate?.after.includes(link.from) === true;
  const after: StepLink = { ...link, sort: "after", to: link.mate, meet: null };
  return byAfter ? [after, link] : [link];
}

function laneShare(index: ProcedureIndex, id: StepId): number {
  const step = index.stepsById.get(id);
  const lane = step === undefined ? [] : (index.stepsByLane.get(step.lane) ?? []);
  return lane.findIndex((other) => other.id === id) / lane.length;
}

function deadlockFinding(
  index: ProcedureIndex,
  circle: readonly StepLink[],
  weakest: StepLink,
): Finding {
  const steps = [...new Set(circle.map((link) => link.to))];
  const lanes = [...new Set(steps.map((id) => index.stepsById.get(id)?.lane))];
  return {
    kind: "deadlock",
    grade: "fault",
    where: placeOf({ steps, positions: lanes.filter((lane) => lane !== undefined) }),
    says: `Nobody can go on: ${circleWords(index, circle)}.`,
    witness: { sort: "circle", links: circle },
    mend: { says: cutWords(index, weakest), edits: [cutEdit(weakest)] },
    onlyWith: [],
  };
}

const linksTold = 6;

// What crosses from lane to lane tells the story; the lanes' own order is known.
function circleWords(index: ProcedureIndex, circle: readonly StepLink[]): string {
  const crossing = circle.filter(({ sort }) => sort !== "lane");
  const links = circle.length <= linksTold ? circle : crossing;
  const told = links.slice(0, linksTold).map((link) => linkWords(index, link));
  const more = links.length - told.length;
  return [...told, ...(more > 0 ? [`and ${more} more`] : [])].join("; ");
}

function linkWords(index: ProcedureIndex, { sort, from, to, mate, meet }: StepLink): string {
  const [waiting, waitedFor] = [stepWords(index, to), stepWords(index, from)];
  if (sort === "lane") return `${waiting} follows ${waitedFor} in its lane`;
  if (sort === "after") return `${waiting} comes after ${waitedFor}`;
  const name = (meet && index.meetsById.get(meet)?.name) ?? meet;
  return `${waiting} meets ${stepWords(index, mate)} at “${name}”, which waits for ${waitedFor}`;
}

function cutWords(index: ProcedureIndex, link: StepLink): string {
  return link.sort === "after"
    ? `Let ${stepWords(index, link.to)} no longer come after ${stepWords(index, link.from)}.`
    : `Take ${stepWords(index, link.to)} out of its meet.`;
}

function cutEdit(link: StepLink): Edit {
  return link.sort === "after"
    ? { edit: "remove-after", step: link.to, after: link.from }
    : { edit: "leave-meet", step: link.to, meet: link.meet as NonNullable<typeof link.meet> };
}
