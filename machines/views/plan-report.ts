// What the plan check comes to, as plain objects for the screen.
//
// [plan-report 1] Every finding is in it, by grade, or is counted as not shown; none is dropped silently.
// [plan-report 2] A part that did not look at everything says so, and then the headline does too.
// [plan-report 3] No words of it call a plan safe or proven.

import type { TaskId } from "../procedure/ids.ts";
import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { sortFindings } from "../plan/finding.ts";
import type { Finding, FindingGrade } from "../plan/finding.ts";
import { listWords } from "../plan/plan-words.ts";
import { findingTitles } from "./finding-titles.ts";
import { placeLines } from "./finding-place.ts";
import type { PlaceLine } from "./finding-place.ts";
import { createWitnessTeller } from "./finding-witness.ts";
import type { WitnessTold } from "./finding-witness.ts";
import { partWords } from "./plan-part-words.ts";
import { suitMargins, worstReturns } from "./plan-figures.ts";
import type { SuitMargin, WorstReturns } from "./plan-figures.ts";

/** Everything that the screen shows of a checked plan. */
export type PlanReport = {
  readonly title: string;
  readonly revision: string;
  readonly stepCount: number;
  readonly headline: string;
  readonly groups: readonly FindingGroup[];
  readonly parts: readonly PartTold[];
  readonly returns: WorstReturns;
  readonly suits: readonly SuitMargin[];
};

/** The findings of one grade, the most important first. */
export type FindingGroup = {
  readonly grade: FindingGrade;
  readonly count: number;
  readonly shown: readonly FindingTold[];
};

/** One finding. */
export type FindingTold = {
  readonly key: string;
  readonly title: string;
  readonly says: string;
  /** Null: it is so in the plan as it stands. */
  readonly onlyWith: string | null;
  readonly where: readonly PlaceLine[];
  readonly witness: WitnessTold | null;
  readonly mend: string;
};

/** What one part of the check looked at. */
export type PartTold = {
  readonly name: string;
  readonly looksAt: string;
  readonly extent: "full" | "part" | "none";
  /** Why not in full; null: it was. */
  readonly whyNot: string | null;
};

/** What one part of the check found. */
export type PartFound = { readonly name: string; readonly findings: readonly Finding[] };

/** The most findings of one grade that are told in full. */
export const findingsShownMax = 100;

/**
 * Reports what the parts found.
 *
 * @param found one for each of `procedureChecks`, in that order
 * Errors: none.
 */
export function reportPlan(index: ProcedureIndex, found: readonly PartFound[]): PlanReport {
  const { title, revision, steps } = index.procedure;
  const findings = sortFindings(
    found.flatMap((part) => part.findings),
    index.orderNumbers,
  );
  const parts = found.map((part) => tellPart(part, findings));
  const tell = createFindingTeller(index);
  const groups = grades.map((grade): FindingGroup => {
    const own = findings.filter((finding) => finding.grade === grade);
    return { grade, count: own.length, shown: own.slice(0, findingsShownMax).map(tell) };
  });
  return {
    title,
    revision,
    stepCount: steps.length,
    headline: headlineOf(groups, parts),
    groups,
    parts,
    returns: worstReturns(index),
    suits: suitMargins(index),
  };
}

const grades: readonly FindingGrade[] = ["fault", "doubt", "advice"];

function tellPart({ name, findings }: PartFound, all: readonly Finding[]): PartTold {
  const known = partWords(name);
  const tooLarge = findings.find(({ kind }) => kind === "plan-too-large");
  if (tooLarge !== undefined) {
    return { ...known, extent: name === "time" ? "none" : "part", whyNot: tooLarge.says };
  }
  // Where steps wait for each other nothing has a time, and the time check stops.
  if (name === "time" && all.some(({ kind }) => kind === "deadlock")) {
    const whyNot =
      "Lanes wait for each other, so nothing has a time yet. Mend that, and check again.";
    return { ...known, extent: "none", whyNot };
  }
  return { ...known, extent: "full", whyNot: null };
}

function headlineOf(groups: readonly FindingGroup[], parts: readonly PartTold[]): string {
  const faults = groups.find(({ grade }) => grade === "fault")?.count ?? 0;
  const isFull = parts.every(({ extent }) => extent === "full");
  const rest = isFull ? "" : " Not everything was checked; see below.";
  if (faults === 0) return `No fault was found in the plan as it is written.${rest}`;
  const many = faults === 1 ? "1 fault was found" : `${faults} faults were found`;
  return `${many}: the plan can’t stand as it is written.${rest}`;
}

function createFindingTeller(index: ProcedureIndex): (finding: Finding, at: number) => FindingTold {
  const tellWitness = createWitnessTeller(index);
  return (finding, at) => ({
    key: `${finding.grade} ${at}`,
    title: findingTitles[finding.kind],
    says: finding.says,
    onlyWith: onlyWithWords(index, finding.onlyWith),
    where: placeLines(index, finding.where),
    witness: tellWitness(finding),
    mend: finding.mend.says,
  });
}

function onlyWithWords(index: ProcedureIndex, tasks: readonly TaskId[]): string | null {
  if (tasks.length === 0) return null;
  const names = tasks.map((id) => `“${index.tasksById.get(id)?.name ?? id}”`);
  return `Only if ${listWords(names)} ${names.length === 1 ? "comes" : "come"} into play.`;
}
