// The report of a check: the headline, the findings by grade, the figures, and what was looked at.

import type { FindingGrade } from "../../machines/plan/finding.ts";
import type { FindingGroup, PartTold, PlanReport } from "../../machines/views/plan-report.ts";
import { Notice } from "../parts/notice.tsx";
import { FindingCard } from "./finding-card.tsx";
import { ReturnFigures } from "./return-figures.tsx";
import { SuitFigures } from "./suit-figures.tsx";

/** The whole report. */
export function PlanReportView({ report }: { readonly report: PlanReport }) {
  const counts = report.groups.map(({ grade, count }) => `${heads[grade].name}: ${count}`);
  const hasFaults = report.groups.some(({ grade, count }) => grade === "fault" && count > 0);
  return (
    <>
      <Notice title={report.headline} tone={hasFaults ? "against" : "plain"}>
        <p class="sounding">{counts.join(" · ")}</p>
        <p>
          This checks the plan as it is written, all {report.stepCount} steps of it. Where a time, a
          way or a length in it is wrong, so is what stands here. The facility’s safety officer
          decides.
        </p>
      </Notice>
      {report.groups.map((group) => (
        <Group key={group.grade} group={group} />
      ))}
      <ReturnFigures returns={report.returns} />
      <SuitFigures suits={report.suits} />
      <Parts parts={report.parts} />
    </>
  );
}

const heads: Readonly<Record<FindingGrade, { readonly name: string; readonly means: string }>> = {
  fault: { name: "Faults", means: "The plan can’t stand with these." },
  doubt: { name: "Doubts", means: "The plan stands here only by the clock or by luck." },
  advice: { name: "Advice", means: "Worth knowing." },
};

function Group({ group }: { readonly group: FindingGroup }) {
  const { grade, count, shown } = group;
  const { name, means } = heads[grade];
  const more = count - shown.length;
  return (
    <section aria-labelledby={`plan-${grade}`}>
      <h3 id={`plan-${grade}`}>
        {name}: {count}
      </h3>
      <p class="soft">{count === 0 ? "None found." : means}</p>
      <ol class="plan__findings">
        {shown.map((finding) => (
          <FindingCard key={finding.key} finding={finding} grade={grade} />
        ))}
      </ol>
      {more > 0 ? <p>… and {more} more. Mend these first, and check again.</p> : null}
    </section>
  );
}

const extents: Readonly<Record<PartTold["extent"], string>> = {
  full: "Checked",
  part: "Checked in part",
  none: "NOT checked",
};

function Parts({ parts }: { readonly parts: readonly PartTold[] }) {
  return (
    <section aria-labelledby="plan-parts">
      <h3 id="plan-parts">What was checked, and what was not</h3>
      <ul class="paper plan__lines">
        {parts.map(({ name, looksAt, extent, whyNot }) => (
          <li key={name} class={`plan__part plan__part--${extent}`}>
            <strong>
              {extents[extent]}: {name}.
            </strong>{" "}
            {looksAt} {whyNot}
          </li>
        ))}
        <li>
          <strong>NOT checked:</strong> whether the times, ways and lengths in the plan are right,
          and whether the people, the gear and the place are as it says.
        </li>
      </ul>
    </section>
  );
}
