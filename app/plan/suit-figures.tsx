// What is left in each suit at the hatch, the limiting consumable first.

import type { LeftInSuit, SuitMargin } from "../../machines/views/plan-figures.ts";
import { LaneMark } from "../parts/lane-mark.tsx";

/** The margins of every suited position. */
export function SuitFigures({ suits }: { readonly suits: readonly SuitMargin[] }) {
  return (
    <section aria-labelledby="plan-suits">
      <h3 id="plan-suits">Consumables left at the hatch</h3>
      <p class="soft">
        Of a full suit, when the lane’s last step is done: if all goes as is likely, and if every
        step takes its longest. The reserve is not taken off.
      </p>
      {suits.length === 0 ? <p>No position wears a suit.</p> : null}
      <ul class="plan__figures">
        {suits.map(({ lane, limiting, meanWatts, left }) => (
          <li key={lane.id} class="paper plan__figure">
            <h4>
              <LaneMark position={lane} />
            </h4>
            <p>
              <strong>{limiting} would run out first.</strong> Mean work{" "}
              <span class="sounding">{Math.round(meanWatts)} W</span>.
            </p>
            <dl class="finding__where">
              {left.map((line) => (
                <LeftLine key={line.consumable} line={line} />
              ))}
            </dl>
          </li>
        ))}
      </ul>
    </section>
  );
}

function LeftLine({ line }: { readonly line: LeftInSuit }) {
  return (
    <div>
      <dt>{line.consumable}</dt>
      <dd>
        likely {shareWords(line.likelyShare)}, at the longest {shareWords(line.longestShare)}
      </dd>
    </div>
  );
}

function shareWords(share: number): string {
  const percent = Math.round(Math.abs(share) * 100);
  return share < 0 ? `${percent} % MISSING` : `${percent} % left`;
}
