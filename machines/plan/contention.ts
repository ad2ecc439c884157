// Contention: no more users at once than there is room for, in any interleaving.
//
// Definition: a *stay* lasts from the end of the step that enters to the end of the step that leaves.
// [contention 1] Stays can be at once exactly if none must have ended before another begins: then all
//   that enter may have ended before any that leaves has.
// [contention 2] No more persons at a site than it holds, one in a foot restraint, one at work with a
//   tool.
// [contention 3] Who hands something over, or takes it, finds the other's hands free: the other lane
//   is in the same meet, waits or talks.

import { groupBy } from "../base/group-by.ts";
import type { ItemId, PositionId } from "../procedure/ids.ts";
import type { Step } from "../procedure/step.ts";
import type { Clash, ClashTeller } from "./clash.ts";
import { tightestClashes } from "./clash.ts";
import { placeOf } from "./finding.ts";
import type { Finding, FindingKind, FindingPlace, Mend } from "./finding.ts";
import { areSideBySide, isBefore } from "./happens-before.ts";
import { idsAt } from "./plan-state.ts";
import type { PlanState, Stay } from "./plan-state.ts";
import { listWords, positionWords, stepWords } from "./plan-words.ts";

/** Every finding of contention that a walked plan comes to. Errors: none. */
export function findContention(state: PlanState, teller: ClashTeller): readonly Finding[] {
  return [
    ...findCrowds(state, teller),
    ...findSharedRestraints(state, teller),
    ...findSharedTools(state, teller),
    ...findBusyHands(state, teller),
  ];
}

// A site that is crowded at every turn is told of a few times.
const crowdsPerSite = 20;

function findCrowds(state: PlanState, teller: ClashTeller): Finding[] {
  const findings: Finding[] = [];
  const stays = [...state.siteStays.values()].flat();
  const staysBySite = groupBy(stays, ({ at }) => at);
  for (const { id, name, capacity } of state.index.procedure.sites) {
    const here = staysBySite.get(id) ?? [];
    const persons = [...groupBy(here, ({ position }) => position).values()];
    if (persons.length <= capacity) continue;
    for (const group of findAtOnce(state, persons, capacity + 1)) {
      const names = listWords(group.map(({ position }) => positionWords(state.index, position)));
      findings.push(
        stayFinding(state, group, teller, {
          kind: "site-crowded",
          where: { sites: [id] },
          says: `${names} may all be at ${name} at once; it holds ${capacity}.`,
        }),
      );
    }
  }
  return findings;
}

function findSharedRestraints(state: PlanState, teller: ClashTeller): Finding[] {
  const byItem = groupBy(state.restraintStays, ({ at }) => at);
  return [...byItem].flatMap(([item, stays]) => {
    const persons = [...groupBy(stays, ({ position }) => position).values()];
    const name = state.index.itemsById.get(item as ItemId)?.name ?? item;
    return findAtOnce(state, persons, 2).map((group) =>
      stayFinding(state, group, teller, {
        kind: "restraint-shared",
        where: { items: [item as ItemId] },
        says: `${listWords(group.map((stay) => positionWords(state.index, stay.position)))} may both stand in ${name} at once.`,
      }),
    );
  });
}

/**
 * Groups of stays, one of each of so many persons, that can be at once.
 *
 * @param persons the stays of each person, in their order
 */
function findAtOnce(
  state: PlanState,
  persons: readonly (readonly Stay[])[],
  size: number,
): readonly (readonly Stay[])[] {
  const groups: (readonly Stay[])[] = [];
  const extend = (chosen: readonly Stay[], from: number): void => {
    if (groups.length >= crowdsPerSite) return;
    if (chosen.length === size) {
      groups.push(chosen);
      return;
    }
    for (let person = from; person < persons.length; person += 1) {
      for (const stay of persons[person] as readonly Stay[]) {
        if (chosen.every((other) => canBeAtOnce(state, stay, other))) {
          extend([...chosen, stay], person + 1);
        }
      }
    }
  };
  extend([], 0);
  return groups;
}

function canBeAtOnce(state: PlanState, a: Stay, b: Stay): boolean {
  return !isOver(state, a, b) && !isOver(state, b, a);
}

function isOver({ order }: PlanState, a: Stay, b: Stay): boolean {
  if (a.leftByMutable === null || b.enteredBy < 0) return false;
  return a.leftByMutable === b.enteredBy || isBefore(order, a.leftByMutable, b.enteredBy);
}

type StayWords = {
  readonly kind: FindingKind;
  readonly where: Partial<FindingPlace>;
  readonly says: string;
};

function stayFinding(
  state: PlanState,
  group: readonly Stay[],
  teller: ClashTeller,
  { kind, where, says }: StayWords,
): Finding {
  const entered = idsAt(
    state,
    group.map(({ enteredBy }) => enteredBy),
  );
  const positions = group.map(({ position }) => position);
  const clash = partingClash(state, group, teller);
  return {
    kind,
    grade: clash === null ? "fault" : teller.grade(clash),
    where: placeOf({ steps: entered, positions, ...where }),
    says,
    witness: { sort: "together", entered },
    mend: clash === null ? noParting : teller.mend(clash),
    onlyWith: [],
  };
}

const noParting: Mend = {
  says: "Have one of them leave before another comes, or let there be room for more.",
  edits: [],
};

// One of them leaving before another comes parts the group; best where the clock does it already.
function partingClash(state: PlanState, group: readonly Stay[], teller: ClashTeller): Clash | null {
  const clashes = group.flatMap((leaver) =>
    group.flatMap((comer) => {
      const [first, second] = [leaver.leftByMutable, comer.enteredBy];
      if (leaver === comer || first === null || second < 0) return [];
      return areSideBySide(state.order, first, second)
        ? [{ first, second, isMended: true, isSure: true }]
        : [];
    }),
  );
  const mendable = clashes.filter((clash) => teller.mend(clash).edits.length > 0);
  const byGrade = mendable.find((clash) => teller.grade(clash) === "doubt");
  return byGrade ?? mendable.toSorted((a, b) => a.first - b.first)[0] ?? null;
}

function findSharedTools(state: PlanState, teller: ClashTeller): Finding[] {
  const { index, order } = state;
  const working = [...order.steps.entries()].filter(([, step]) => step.fasteners !== null);
  const byTool = groupBy(working, ([, { fasteners }]) => fasteners?.tool as ItemId);
  return [...byTool].flatMap(([tool, users]) => {
    const clashes = sideBySidePairs(
      state,
      users.map(([number]) => number),
    );
    const name = index.itemsById.get(tool)?.name ?? tool;
    return tightestClashes(order, clashes).map((clash): Finding => {
      const [first, second] = [order.steps[clash.first] as Step, order.steps[clash.second] as Step];
      return {
        kind: "tool-shared",
        grade: teller.grade(clash),
        where: placeOf({ steps: [first.id, second.id], items: [tool] }),
        says: `There is one ${name}, and ${stepWords(index, first.id)} and ${stepWords(index, second.id)} may both need it at once.`,
        witness: teller.witness(clash),
        mend: teller.mend(clash),
        onlyWith: [],
      };
    });
  });
}

function sideBySidePairs(state: PlanState, numbers: readonly number[]): readonly Clash[] {
  return numbers.flatMap((first, place) =>
    numbers
      .slice(place + 1)
      .filter((second) => areSideBySide(state.order, first, second))
      .map((second) => ({ first, second, isMended: true, isSure: true })),
  );
}

const freeHands: ReadonlySet<Step["sort"]> = new Set(["wait", "talk"]);

function findBusyHands(state: PlanState, teller: ClashTeller): Finding[] {
  const { index, order } = state;
  const seen = new Set<string>();
  return state.exchanges.flatMap(({ step: number, partner }) => {
    const key = `${number} ${partner}`;
    if (seen.has(key) || index.positionsById.get(partner)?.sort !== "suited") return [];
    seen.add(key);
    const exchange = order.steps[number] as Step;
    const clashes = busySteps(state, number, partner).map((busy) => ({
      first: Math.min(number, busy),
      second: Math.max(number, busy),
      isMended: true,
      isSure: true,
    }));
    return tightestClashes(order, clashes).map((clash): Finding => {
      const busy = order.steps[clash.first === number ? clash.second : clash.first] as Step;
      return {
        kind: "hands-busy",
        grade: teller.grade(clash),
        where: placeOf({ steps: [exchange.id, busy.id], positions: [partner] }),
        says: `${stepWords(index, exchange.id)} needs ${positionWords(index, partner)}'s hands, which may still be, or be again, at ${stepWords(index, busy.id)}.`,
        witness: teller.witness(clash),
        mend: teller.mend(clash),
        onlyWith: [],
      };
    });
  });
}

function busySteps({ order }: PlanState, number: number, partner: PositionId): readonly number[] {
  const exchange = order.steps[number] as Step;
  return [...order.steps.keys()].filter((other) => {
    const step = order.steps[other] as Step;
    if (step.lane !== partner || freeHands.has(step.sort)) return false;
    if (step.meet !== null && step.meet === exchange.meet) return false;
    return areSideBySide(order, number, other);
  });
}
