// The verdicts on a procedure's text, as lines to print.

import { indexProcedure } from "../../machines/procedure/procedure-index.ts";
import { interleavingsOf } from "../../machines/plan/interleaving.ts";
import { orderPlay } from "../../machines/plan/check-plan.ts";
import type { Finding, FindingGrade } from "../../machines/plan/finding.ts";
import type { Edit } from "../../machines/plan/mend.ts";
import type { Fault } from "../../machines/procedure/fault.ts";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import { readProcedure } from "../../machines/procedure/read-procedure.ts";
import { returnTimes } from "../../machines/reach-back/return-times.ts";
import { suitUses } from "../../machines/consumables/suit-use.ts";
import { checkProcedure } from "../../machines/views/procedure-findings.ts";

/** What to print, and whether the procedure can't stand. */
export type Verdicts = { readonly lines: readonly string[]; readonly hasFaults: boolean };

// A file that is wrong everywhere is not helped by thousands of lines.
const linesMax = 400;
const shownSteps = 6;

/** Judges a text. Errors: none; whatever is wrong is in the lines. */
export function judgeProcedure(text: string): Verdicts {
  const { procedure, faults } = readProcedure(text);
  if (procedure === null) return refuse(faults);
  const index = indexProcedure(procedure);
  const findings = checkProcedure(index);
  const shown = findings.slice(0, linesMax);
  const told = findings.length > shown.length ? [`… ${findings.length - shown.length} more`] : [];
  const count = (grade: FindingGrade) => findings.filter((f) => f.grade === grade).length;
  return {
    lines: [
      `${procedure.title}, revision ${procedure.revision}: ${procedure.steps.length} steps, ${procedure.items.length} items, ${procedure.sites.length} sites`,
      ...shown.flatMap((finding) => findingLines(index, finding)),
      ...told,
      ...summaryLines(index),
      `${count("fault")} faults, ${count("doubt")} doubts, advice: ${count("advice")}`,
    ],
    hasFaults: count("fault") > 0,
  };
}

// What makes everything after it unreadable comes first, then what names nothing, then bounds.
const codeWeights: readonly (readonly [RegExp, number])[] = [
  [/^(not-json|wrong-format|wrong-version|newer-version)$/, 0],
  [/^(missing|wrong|unknown-member)/, 1],
  [/^doubled-id$/, 2],
  [/^unknown-/, 3],
];

function weigh({ code }: Fault): number {
  return codeWeights.find(([pattern]) => pattern.test(code))?.[1] ?? codeWeights.length;
}

function refuse(faults: readonly Fault[]): Verdicts {
  const sorted = faults.toSorted((a, b) => weigh(a) - weigh(b));
  const shown = sorted.slice(0, linesMax);
  const more = sorted.length - shown.length;
  return {
    lines: [
      ...shown.map(({ path, code, says, mend }) => `FAULT ${code} at ${path}: ${says} ${mend}`),
      ...(more > 0 ? [`… ${more} more`] : []),
      `${sorted.length} faults in the document; the plan itself was not checked`,
    ],
    hasFaults: true,
  };
}

const heads: Readonly<Record<FindingGrade, string>> = {
  fault: "FAULT",
  doubt: "doubt",
  advice: "advice",
};

function findingLines(index: ProcedureIndex, finding: Finding): readonly string[] {
  const { grade, kind, says, mend, onlyWith } = finding;
  const names = onlyWith.map((id) => `“${index.tasksById.get(id)?.name ?? id}”`);
  const only = onlyWith.length === 0 ? "" : ` Only with ${names.join(", ")} in play.`;
  return [
    `${heads[grade]} ${kind}: ${says}${only}`,
    ...witnessLines(index, finding),
    `    mend: ${mend.says}`,
    ...mend.edits.map((edit) => `    edit: ${editWords(edit)}`),
  ];
}

function witnessLines(index: ProcedureIndex, { witness, onlyWith }: Finding): readonly string[] {
  if (witness === null) return [];
  if (witness.sort === "circle") {
    const steps = witness.links.map(({ to }) => to);
    return [`    circle: ${[steps.at(-1), ...steps].join(" → ")}`];
  }
  if (witness.sort === "route") return [`    line: ${witness.sites.join(" → ")}`];
  if (index.procedure.steps.length > 1000) return [];
  const { order } = orderPlay(index, onlyWith);
  return interleavingsOf(order, witness).map((steps) => {
    const last = steps.slice(-shownSteps);
    return `    so it can go: ${steps.length > last.length ? "… → " : ""}${last.join(" → ")}`;
  });
}

function editWords(edit: Edit): string {
  const { edit: name, ...what } = edit;
  return `${name} ${JSON.stringify(what)}`;
}

function summaryLines(index: ProcedureIndex): readonly string[] {
  const returns = [...returnTimes(index).worstByLane].map(
    ([position, { abort, terminate }]) =>
      `return of ${position}: at most ${minutes(abort.abortSeconds)} min by abort rules (${abort.step}), ${minutes(terminate.terminateSeconds)} min by terminate rules (${terminate.step})`,
  );
  const suits = suitUses(index).map(({ position, limiting, uses, meanWatts }) => {
    const use = uses.find(({ consumable }) => consumable === limiting);
    const left = use === undefined ? 0 : (use.left.likely / use.capacity) * 100;
    return `suit of ${position}: ${meanWatts.toFixed(0)} W on average; ${limiting} limits, ${left.toFixed(0)} % of it likely left at the hatch`;
  });
  return [...returns, ...suits];
}

function minutes(seconds: number): string {
  return (seconds / 60).toFixed(1);
}
