// Runs on this device.

import { roleWords } from "../../machines/views/words.ts";
import { byBundlesOnlyWords } from "../../machines/views/bundle-words.ts";
import type { LiveShelf, RunOnShelf } from "../live/live-shelf.ts";
import { timeOfDay } from "../parts/age.tsx";

/** Every run, newest first, or a word that there is none. */
export function RunList({ shelf }: { readonly shelf: LiveShelf }) {
  const runs = shelf.runs.value;
  return (
    <section aria-labelledby="runs-title">
      <h2 id="runs-title">Runs on this device</h2>
      {runs.length === 0 ? (
        <p class="soft">None yet. A run that you open or join stays here, offline too.</p>
      ) : (
        <ul class="shelf__list">
          {runs.map((run) => (
            <RunItem key={run.run} run={run} />
          ))}
        </ul>
      )}
    </section>
  );
}

function RunItem({ run }: { readonly run: RunOnShelf }) {
  const role = run.lane === null ? roleWords[run.role] : `${roleWords[run.role]}, ${run.lane}`;
  const day = new Intl.DateTimeFormat(undefined, { dateStyle: "medium" }).format(run.storedAtMs);
  return (
    <li class="paper shelf__item">
      <div>
        <h3>{run.title}</h3>
        <p>
          {role} · {day}, {timeOfDay(run.storedAtMs)}
          {run.closed ? " · closed" : ""}
        </p>
        <p class="small soft">
          {savedWords(run)}
          {run.hasProcedure ? "" : " Its procedure has not arrived yet."}
        </p>
      </div>
      <a
        class="tap"
        href={`#/run/${encodeURIComponent(run.run)}`}
        aria-label={`Go to ${run.title}`}
      >
        {run.closed ? "Debrief" : "Go on"}
      </a>
    </li>
  );
}

function savedWords({ byBundlesOnly, unsent }: RunOnShelf): string {
  if (byBundlesOnly) return byBundlesOnlyWords;
  return unsent === 0 ? "All saved at the hub." : `Saved here. ${unsent} unsent.`;
}
