// Injects in the debrief: what was shown, what was done, and the grade.

import type { InjectView } from "../../machines/views/inject-view.ts";
import { formatSpan } from "../../machines/views/format-time.ts";
import { gradeWords, injectStateWords } from "../../machines/views/words.ts";
import { SimulatedCard } from "../parts/simulated-card.tsx";
import { DebriefPart } from "./debrief-part.tsx";

/** Every case that the record tells of. */
export function DebriefInjects({ injects }: { readonly injects: readonly InjectView[] }) {
  return (
    <DebriefPart id="injects" title={`Injects: ${injects.length}`}>
      {injects.length === 0 ? <p>None.</p> : null}
      <ul class="facts">
        {injects.map((inject) => (
          <li key={inject.inject}>
            <SimulatedCard title={inject.name} card={inject.card}>
              <p>
                Shown to {inject.shownToWords === "" ? "nobody" : inject.shownToWords}.{" "}
                {injectStateWords[inject.state]}.
                {inject.liveSeconds === null ? "" : ` Lasted ${formatSpan(inject.liveSeconds)}.`}
              </p>
              <ul>
                {inject.responses.map((response, place) => (
                  <li key={place}>
                    After {formatSpan(response.afterSeconds)}: {response.text} ({response.from})
                  </li>
                ))}
              </ul>
              <p>
                <strong>
                  {inject.grade === null ? "Not graded." : `${gradeWords[inject.grade]}.`}
                </strong>{" "}
                {inject.remark}
              </p>
            </SimulatedCard>
          </li>
        ))}
      </ul>
    </DebriefPart>
  );
}
