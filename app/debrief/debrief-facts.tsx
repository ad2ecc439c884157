// Facts of the record in a list: when, who, about what, and what it says.

import type { DebriefFact } from "../../machines/views/debrief-view.ts";
import { formatPet } from "../../machines/views/format-time.ts";
import { DebriefPart } from "./debrief-part.tsx";

/** What the list shows. */
export type DebriefFactsProps = {
  readonly id: string;
  readonly title: string;
  readonly facts: readonly DebriefFact[];
  /** Said where there is no fact. */
  readonly none: string;
};

/** Facts by time. */
export function DebriefFacts({ id, title, facts, none }: DebriefFactsProps) {
  return (
    <DebriefPart id={id} title={`${title}: ${facts.length}`}>
      {facts.length === 0 ? <p>{none}</p> : null}
      <ul class="facts">
        {facts.map((fact) => (
          <li key={fact.key}>
            <span class="sounding">
              {fact.atSeconds === null ? "–" : formatPet(fact.atSeconds)}
            </span>{" "}
            <strong>{fact.by}</strong>
            {fact.about === "" ? "" : ` · ${fact.about}`}: {fact.text}
          </li>
        ))}
      </ul>
    </DebriefPart>
  );
}
