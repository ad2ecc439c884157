// Procedures on this device.

import { useState } from "preact/hooks";
import type { LiveShelf, ProcedureOnShelf } from "../live/live-shelf.ts";
import { announce } from "../parts/announce.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** Which shelf, and what opening a run on one of its procedures does. */
export type ProcedureListProps = {
  readonly shelf: LiveShelf;
  readonly onOpen: (procedure: ProcedureOnShelf) => void;
};

/** Every procedure, newest first, or a word that there is none. */
export function ProcedureList({ shelf, onOpen }: ProcedureListProps) {
  const [says, setSays] = useState<string | null>(null);
  const procedures = shelf.procedures.value;
  const fetchMore = async () => {
    const outcome = await shelf.fetchProcedures();
    const words =
      outcome.refusal === null
        ? `${outcome.value} new from the hub.`
        : `${outcome.refusal.says} ${outcome.refusal.mend}`;
    setSays(words);
    announce(words, "polite");
  };
  return (
    <section aria-labelledby="procedures-title">
      <h2 id="procedures-title">Procedures on this device</h2>
      {procedures.length === 0 ? <p class="soft">None yet.</p> : null}
      <ul class="shelf__list">
        {procedures.map((procedure) => (
          <li key={procedure.identity} class="paper shelf__item">
            <div>
              <h3>
                {procedure.title}, revision {procedure.revision}
              </h3>
              <p>{procedure.summary}</p>
              <p class="small soft">
                Identity <code>{procedure.identity.slice(0, 12)}</code>
              </p>
            </div>
            <a
              class="tap tap--plain"
              href={`#/plan/${encodeURIComponent(procedure.identity)}`}
              aria-label={`Check the plan of ${procedure.title}`}
            >
              Check the plan
            </a>
            <TapButton name={`Open a run of ${procedure.title}`} onTap={() => onOpen(procedure)}>
              Open a run…
            </TapButton>
          </li>
        ))}
      </ul>
      <div class="taps">
        <TapButton onTap={() => void fetchMore()}>Ask the hub for procedures</TapButton>
      </div>
      {says === null ? null : <p>{says}</p>}
    </section>
  );
}
