// What is due from the one who looks, and when: a range, never one guess.

import type { DueLine, FollowView } from "../../machines/views/follow-view.ts";
import { formatSpanRange } from "../../machines/views/format-time.ts";
import type { SecondsRange } from "../../machines/views/lane-glance.ts";
import { positionName, stepStateWords } from "../../machines/views/words.ts";
import type { LiveRun } from "../live/live-run.ts";
import { petRangeWords } from "../parts/lane-strip.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import type { Tap } from "../parts/use-tap.ts";

/** What the list needs. */
export type DueListProps = {
  readonly live: LiveRun;
  readonly view: FollowView;
  readonly tap: Tap;
};

const shownCount = 6;

/** The next things that are due, the soonest first. */
export function DueList({ live, view, tap }: DueListProps) {
  const name = positionName(live.index, live.me.lane);
  const later = view.due.length - shownCount;
  return (
    <section class="follow__part" aria-labelledby="follow-due">
      <h3 id="follow-due">Due from {name}</h3>
      {view.due.length === 0 ? <p>Nothing is due from {name} any more.</p> : null}
      <ol class="due">
        {view.due.slice(0, shownCount).map((line) => (
          <li key={line.key} class="due__line" data-due={line.due}>
            <DueWords line={line} petSeconds={view.petSeconds} />
            {line.due === "go" ? <GiveGo live={live} line={line} tap={tap} /> : null}
          </li>
        ))}
      </ol>
      {later > 0 ? <p class="soft">{later} more later.</p> : null}
      <p class="soft">
        Ranges are estimates from the least and most durations of what remains, if every hold ends
        now.
      </p>
      <p>
        <a class="tap tap--plain" href={`#/run/${live.run}/lane`}>
          Work the lane of {name}
        </a>
      </p>
    </section>
  );
}

type DueWordsProps = { readonly line: DueLine; readonly petSeconds: number | null };

function DueWords({ line, petSeconds }: DueWordsProps) {
  return (
    <div class="due__words">
      <p class="due__when">{whenWords(line, petSeconds)}</p>
      {line.due === "step" ? (
        <p>
          <span class="sounding">{line.step.number}</span> {line.step.text}{" "}
          <strong>{stepStateWords[line.step.state]}</strong>
          {line.step.siteName === null ? "" : ` · ${line.step.siteName}`}
        </p>
      ) : (
        <p>
          <strong>GO for {line.name}.</strong> {line.reason} {line.meanwhile}
        </p>
      )}
    </div>
  );
}

function whenWords(line: DueLine, petSeconds: number | null): string {
  if (line.due === "step" && line.step.state === "working") return "Now";
  if (line.when === null) return "No time known";
  if (petSeconds === null) return `PET ${petRangeWords(line.when)}`;
  return `${inWords(line.when, petSeconds)} · PET ${petRangeWords(line.when)}`;
}

function inWords(when: SecondsRange, petSeconds: number): string {
  const least = Math.max(0, when.fromSeconds - petSeconds);
  const most = Math.max(0, when.toSeconds - petSeconds);
  if (most < 60) return "Now";
  return least < 60
    ? `Now, or within ${formatSpanRange(most, most)}`
    : `In ${formatSpanRange(least, most)}`;
}

type GiveGoProps = {
  readonly live: LiveRun;
  readonly line: Extract<DueLine, { readonly due: "go" }>;
  readonly tap: Tap;
};

function GiveGo({ live, line, tap }: GiveGoProps) {
  return (
    <TapButton
      tone="main"
      name={`Give GO for ${line.name}`}
      onTap={() => tap({ kind: "gate.go-given", step: line.step, gate: line.gate }, live.me.lane)}
    >
      Give GO
    </TapButton>
  );
}
