// The log of the last ten minutes.

import type { LogRow } from "../../machines/views/log-rows.ts";
import { outcomeWords } from "../../machines/views/words.ts";
import { timeOfDay } from "../parts/age.tsx";

/** What was entered lately, the latest first. */
export function RecentLog({ rows }: { readonly rows: readonly LogRow[] }) {
  return (
    <section class="paper pair__section" aria-labelledby="log-title">
      <h2 id="log-title">Last ten minutes</h2>
      {rows.length === 0 ? <p class="soft">Nothing was entered.</p> : null}
      {/* A list that scrolls must be reachable by keyboard. */}
      <ol class="log" tabIndex={0} aria-labelledby="log-title">
        {rows.map((row) => (
          <li key={row.key} class="log__row">
            <span class="sounding">{timeOfDay(row.atMs)}</span>
            <span>
              <strong>{row.position === "–" ? row.device : row.position}</strong> {row.says}
              {row.outcome === "applied" ? null : (
                <span class="soft"> · {outcomeWords[row.outcome].toLowerCase()}</span>
              )}
            </span>
          </li>
        ))}
      </ol>
    </section>
  );
}
