// Injects at the desk: the script's cases and those typed on the spot.
// A case goes live by press-and-hold; if it holds somebody, the hold is raised in its name.

import { useState } from "preact/hooks";
import type { InjectView } from "../../machines/views/inject-view.ts";
import type { LiveRun } from "../live/live-run.ts";
import { TapButton } from "../parts/tap-button.tsx";
import type { Tap } from "../parts/use-tap.ts";
import { FreeInjectSheet } from "./free-inject-sheet.tsx";
import { InjectCard } from "./inject-card.tsx";

/** What the desk needs for injects. */
export type DeskInjectsProps = {
  readonly live: LiveRun;
  readonly injects: readonly InjectView[];
  readonly tap: Tap;
};

/** Every case, live ones first. */
export function DeskInjects({ live, injects, tap }: DeskInjectsProps) {
  const [typing, setTyping] = useState(false);
  return (
    <section class="desk__part" aria-labelledby="desk-injects">
      <h3 id="desk-injects">Injects</h3>
      {live.injectScript.value === null ? (
        <p class="soft">No inject script is on this device. A case can be typed on the spot.</p>
      ) : (
        <p class="soft">Only director devices see a case before it is live.</p>
      )}
      <ul class="desk__list">
        {injects.map((inject) => (
          <InjectCard key={inject.inject} live={live} inject={inject} tap={tap} />
        ))}
      </ul>
      <div class="taps">
        <TapButton wide onTap={() => setTyping(true)}>
          Type a case on the spot…
        </TapButton>
      </div>
      {typing ? <FreeInjectSheet live={live} onClose={() => setTyping(false)} /> : null}
    </section>
  );
}
