// Holds in the debrief: who raised, who acknowledged, who released, and how long each lasted.

import type { DebriefHold } from "../../machines/views/debrief-view.ts";
import { formatPet, formatSpan } from "../../machines/views/format-time.ts";
import { DebriefPart } from "./debrief-part.tsx";

/** Every hold of the run. */
export function DebriefHolds({ holds }: { readonly holds: readonly DebriefHold[] }) {
  return (
    <DebriefPart id="holds" title={`Holds: ${holds.length}`}>
      {holds.length === 0 ? <p>None.</p> : null}
      <ul class="facts">
        {holds.map((hold) => (
          <li key={hold.hold}>
            <span class="sounding">
              {hold.raisedSeconds === null ? "–" : formatPet(hold.raisedSeconds)}
            </span>{" "}
            <strong>
              {hold.isSimulated ? "SIMULATED: " : ""}
              {hold.covers}
            </strong>
            , {formatSpan(hold.lastedSeconds)}: {hold.reason}
            <p>
              Raised by {hold.raisedBy}. {acknowledgedWords(hold)}{" "}
              {hold.releasedAtMs === null
                ? "Not released."
                : `Released by ${hold.releasedBy ?? "an entry that this device does not hold"}.`}
            </p>
          </li>
        ))}
      </ul>
    </DebriefPart>
  );
}

function acknowledgedWords(hold: DebriefHold): string {
  const known = hold.acknowledgements.map(
    (one) => `${one.name} after ${formatSpan(one.afterSeconds)} (${one.by})`,
  );
  const parts = [
    known.length === 0 ? "Acknowledged by nobody." : `Acknowledged: ${known.join(", ")}.`,
    hold.missing.length === 0 ? "" : `Not by ${hold.missing.join(", ")}.`,
  ];
  return parts.filter((part) => part !== "").join(" ");
}
