// Before the first step: is it the right version, who briefs what, hazards of the whole run, start.

import { positionName } from "../../machines/views/words.ts";
import type { LiveRun } from "../live/live-run.ts";
import { HazardStatement } from "../parts/hazard.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import type { Tap } from "../parts/use-tap.ts";

/** The briefing's card; the director starts the run from it. */
export function Briefing({ live, tap }: { readonly live: LiveRun; readonly tap: Tap }) {
  const { procedure } = live;
  return (
    <section class="paper briefing" aria-labelledby="briefing-title">
      <h2 id="briefing-title">
        Briefing: {procedure.title}, revision {procedure.revision}
      </h2>
      <p>{procedure.summary}</p>
      {live.me.role === "director" ? (
        <div class="taps">
          <TapButton tone="main" wide onTap={() => tap({ kind: "run.started" }, null)}>
            Start the run
          </TapButton>
        </div>
      ) : (
        <p>
          <strong>The director starts the run.</strong>
        </p>
      )}
      {procedure.standingHazards.map((hazard) => (
        <HazardStatement key={hazard.text} hazard={hazard} />
      ))}
      <dl class="briefing__topics">
        {procedure.briefing.map((topic) => (
          <div key={topic.id}>
            <dt>
              <strong>{topic.title}</strong>{" "}
              <span class="soft">by {positionName(live.index, topic.presenter)}</span>
            </dt>
            <dd>{topic.text}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
