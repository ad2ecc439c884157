// Findings: what the plan check has to say, as data.
//
// Definition: a *fault* is something with which the plan cannot stand; a *doubt*, something that
//   stands only by the clock or by luck; *advice*, something worth knowing.
// [finding 1] Findings stand in order of importance: faults, doubts, advice; within a grade by kind,
//   the kinds that hurt people first; then by the place in the plan.

import type {
  ArmId,
  ClockId,
  HardwareId,
  ItemId,
  PositionId,
  SiteId,
  StepId,
  TaskId,
  TetherId,
  WindowId,
} from "../procedure/ids.ts";
import type { Edit } from "./mend.ts";
import type { StepLink } from "./step-links.ts";

/** How much a finding weighs. */
export type FindingGrade = "fault" | "doubt" | "advice";

/** Every kind of finding, the most important first within a grade. */
export const findingKinds = [
  "deadlock",
  "tether-none",
  "tether-too-short",
  "tether-not-there",
  "tether-unordered",
  "arm-rider",
  "person-left-out",
  "hatch-too-far",
  "clock-not-kept",
  "run-too-long",
  "window-missed",
  "person-not-there",
  "person-unordered",
  "site-unreachable",
  "path-missing",
  "path-closed",
  "path-unordered",
  "restraint-not-there",
  "restraint-unordered",
  "arm-not-there",
  "arm-unordered",
  "condition-never",
  "condition-unordered",
  "cap-missing",
  "item-not-there",
  "item-unordered",
  "item-out-of-reach",
  "item-inside-itself",
  "item-not-back",
  "item-loose",
  "site-crowded",
  "restraint-shared",
  "tool-shared",
  "hands-busy",
  "hazard-missing",
  "tether-crossed",
  "buddy-out-of-reach",
  "consumable-short",
  "metabolic-peak",
  "light-missing",
  "items-left-out",
  "task-not-called",
  "plan-too-large",
] as const;

/** What a finding is about. */
export type FindingKind = (typeof findingKinds)[number];

/** The things that a finding is about; each list in the order of importance. */
export type FindingPlace = {
  readonly steps: readonly StepId[];
  readonly positions: readonly PositionId[];
  readonly sites: readonly SiteId[];
  readonly items: readonly ItemId[];
  readonly tethers: readonly TetherId[];
  readonly hardware: readonly HardwareId[];
  readonly arms: readonly ArmId[];
  readonly tasks: readonly TaskId[];
  readonly clocks: readonly ClockId[];
  readonly windows: readonly WindowId[];
};

/**
 * How one sees that a finding is so.
 *
 * - `orders`: for each list an order in which these steps may end; `interleavingOf` tells it in full.
 * - `together`: all of these steps may have ended before anybody leaves; steps that enter.
 * - `circle`: each step waits for the one before it, and the first for the last.
 * - `route`: sites that a tether or a person passes, in order.
 */
export type Witness =
  | { readonly sort: "orders"; readonly orders: readonly (readonly StepId[])[] }
  | { readonly sort: "together"; readonly entered: readonly StepId[] }
  | { readonly sort: "circle"; readonly links: readonly StepLink[] }
  | { readonly sort: "route"; readonly sites: readonly SiteId[] };

/** What would mend it: a sentence, and the edits if a rule could tell them. */
export type Mend = { readonly says: string; readonly edits: readonly Edit[] };

/** One thing that the check found. */
export type Finding = {
  readonly kind: FindingKind;
  readonly grade: FindingGrade;
  readonly where: FindingPlace;
  /** What is wrong and why, in words for the crew. */
  readonly says: string;
  readonly witness: Witness | null;
  readonly mend: Mend;
  /** Contingency tasks that must be in play for it; none: it is so in the plan as it stands. */
  readonly onlyWith: readonly TaskId[];
};

/** A place with some lists filled. Errors: none. */
export function placeOf(parts: Partial<FindingPlace>): FindingPlace {
  return { ...nowhere, ...parts };
}

/**
 * What makes two findings the same, whatever their words. Two circles through the same steps are two: each
 * is mended at a link of its own.
 *
 * Errors: none.
 */
export function findingKey({ kind, where, witness }: Finding): string {
  const links = witness?.sort === "circle" ? witness.links : [];
  return [
    kind,
    ...Object.entries(where).map(([list, ids]: [string, readonly string[]]) =>
      ids.length === 0 ? "" : `${list}=${ids.join(",")}`,
    ),
    ...links.map(({ sort, from, to, mate, meet }) => [sort, from, to, mate, meet].join(":")),
  ].join(" ");
}

/**
 * Findings in order of importance; see [finding 1].
 *
 * @param orderNumbers place of each step in the document
 * Errors: none.
 */
export function sortFindings(
  findings: readonly Finding[],
  orderNumbers: ReadonlyMap<StepId, number>,
): readonly Finding[] {
  const weighed = findings.map((finding, index) => ({ finding, weight: weigh(finding), index }));
  const placeOfFirst = ({ where }: Finding) => orderNumbers.get(where.steps[0] as StepId) ?? 1e9;
  return weighed
    .sort(
      (a, b) =>
        a.weight - b.weight ||
        placeOfFirst(a.finding) - placeOfFirst(b.finding) ||
        a.index - b.index,
    )
    .map(({ finding }) => finding);
}

const nowhere: FindingPlace = {
  steps: [],
  positions: [],
  sites: [],
  items: [],
  tethers: [],
  hardware: [],
  arms: [],
  tasks: [],
  clocks: [],
  windows: [],
};

const gradeWeights: Readonly<Record<FindingGrade, number>> = {
  fault: 0,
  doubt: 1000,
  advice: 2000,
};

const kindWeights: ReadonlyMap<FindingKind, number> = new Map(
  findingKinds.map((kind, index) => [kind, index]),
);

function weigh({ grade, kind }: Finding): number {
  return gradeWeights[grade] + (kindWeights.get(kind) ?? 0);
}
