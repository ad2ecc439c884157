// One finding: what, where, why, how one sees it, and the smallest mend.

import type { FindingGrade } from "../../machines/plan/finding.ts";
import type { WitnessTold } from "../../machines/views/finding-witness.ts";
import type { FindingTold } from "../../machines/views/plan-report.ts";

/** Which finding, of which grade. */
export type FindingCardProps = { readonly finding: FindingTold; readonly grade: FindingGrade };

/** The finding as an item of a list. */
export function FindingCard({ finding, grade }: FindingCardProps) {
  const { title, says, onlyWith, where, witness, mend } = finding;
  return (
    <li class={`paper finding finding--${grade}`}>
      <h4>
        <span class="finding__grade">{grade}</span> {title}
      </h4>
      <p>{says}</p>
      {onlyWith === null ? null : <p>{onlyWith}</p>}
      <p>
        <strong>Smallest mend:</strong> {mend}
      </p>
      {where.length === 0 ? null : (
        <dl class="finding__where">
          {where.map(({ label, names, more }) => (
            <div key={label}>
              <dt>{label}</dt>
              <dd>
                {names.join("; ")}
                {more > 0 ? ` and ${more} more` : ""}
              </dd>
            </div>
          ))}
        </dl>
      )}
      {witness === null ? null : <WitnessView witness={witness} />}
    </li>
  );
}

function WitnessView({ witness }: { readonly witness: WitnessTold }) {
  return (
    <details>
      <summary class="tap tap--plain">How it can come to that</summary>
      <p>{witness.lead}</p>
      {witness.lists.map(({ before, lines }, at) => (
        <div key={at} class="finding__order">
          {witness.lists.length > 1 ? <p class="soft">Order {at + 1}</p> : null}
          {before === 0 ? null : <p class="soft">{before} steps come first, then:</p>}
          <ol class="plan__lines plan__lines--counted" start={before + 1}>
            {lines.map((line, number) => (
              <li key={number}>{line}</li>
            ))}
          </ol>
        </div>
      ))}
    </details>
  );
}
