// The reader's screen: what the lanes wait for from here, both lanes in step, meets, checks, log.

import { useCallback, useRef } from "preact/hooks";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { LaneView, OtherLane } from "../../machines/views/lane-view.ts";
import type { MeetComing } from "../../machines/views/meets-coming.ts";
import { pairView } from "../../machines/views/pair-view.ts";
import type { Owed, PairView } from "../../machines/views/pair-view.ts";
import { positionName, stepStateWords } from "../../machines/views/words.ts";
import type { LiveRun } from "../live/live-run.ts";
import { HazardFlag } from "../parts/hazard.tsx";
import { InjectCards } from "../parts/inject-cards.tsx";
import { kept } from "../parts/kept.tsx";
import { LaneMark } from "../parts/lane-mark.tsx";
import { Notice } from "../parts/notice.tsx";
import { StepActs } from "../parts/step-acts.tsx";
import { StepPanel } from "../parts/step-panel.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { useKeptFocus } from "../parts/use-kept-focus.ts";
import type { Tap } from "../parts/use-tap.ts";
import { useTap } from "../parts/use-tap.ts";
import { Checks } from "./checks.tsx";
import { RecentLog } from "./recent-log.tsx";
import { PairMore } from "./pair-more.tsx";
import "./pair.css";

/** The reader's screen of a run. */
export function PairScreen({ live }: { readonly live: LiveRun }) {
  const tap = useTap(live);
  const ref = useRef<HTMLDivElement>(null);
  useKeptFocus(ref);
  const view = pairView(live.index, live.state.value, live.me, live.nowMs.value);
  return (
    <div ref={ref} class="pair">
      <h2 class="unseen" tabIndex={-1} data-focus-home>
        Both lanes in step
      </h2>
      {view.phase === "briefing" ? (
        <Notice title="Briefing: the run has not started.">
          <p>The director starts it.</p>
        </Notice>
      ) : null}
      <KeptInjects injects={view.injects} lane={live.me.lane} mayAnswer={false} tap={tap} />
      <KeptOwed owed={view.owed} tap={tap} />
      <Rails live={live} view={view} tap={tap} />
      <PairMore live={live} view={view} tap={tap} />
      <div class="pair__below">
        <Checks live={live} checks={view.checks} tap={tap} />
        <KeptLog rows={view.log} />
      </div>
    </div>
  );
}

const KeptInjects = kept(InjectCards);
const KeptOwed = kept(OwedList);
const KeptLog = kept(RecentLog);
const KeptRungs = kept(Rungs);
const KeptLine = kept(LineRail);
const KeptHead = kept(RailHead);
const KeptNext = kept(RailNext);

function OwedList({ owed, tap }: { readonly owed: readonly Owed[]; readonly tap: Tap }) {
  if (owed.length === 0) return null;
  return (
    <section class="owed" aria-label="Waiting for you">
      <h2>Waiting for you</h2>
      {owed.map((one) => (
        <div key={`${one.step} ${one.gate}`} class="owed__row">
          <div>
            <p>
              <strong>
                {one.laneName}: {one.what === "go" ? "GO needed" : "readback of a WARNING"}
              </strong>
            </p>
            <p>{one.text}</p>
          </div>
          <TapButton tone="main" onTap={() => give(one, tap)}>
            {one.what === "go" ? `Give GO as ${one.asName}` : `Confirm readback as ${one.asName}`}
          </TapButton>
        </div>
      ))}
    </section>
  );
}

function give(one: Owed, tap: Tap): void {
  const kind = one.what === "go" ? "gate.go-given" : "gate.readback-confirmed";
  tap({ kind, step: one.step, gate: one.gate }, one.as);
}

type RailsProps = { readonly live: LiveRun; readonly view: PairView; readonly tap: Tap };

function Rails({ live, view, tap }: RailsProps) {
  const nameOf = useCallback(
    (position: string) => positionName(live.index, position as PositionId),
    [live],
  );
  return (
    <section class="rails" aria-label="Lanes">
      {view.rails.map((rail, place) => (
        <Rail key={rail.lane} rail={rail} nameOf={nameOf} tap={tap} mirrored={place % 2 === 1} />
      ))}
      <KeptRungs live={live} meets={view.meets} />
      {view.otherLanes.map((other) => (
        <KeptLine key={other.lane} other={other} />
      ))}
    </section>
  );
}

function LineRail({ other }: { readonly other: OtherLane }) {
  return (
    <div class={`rail rail--line lane-${other.marking.colour}`}>
      <span class={`rail__line lane-pattern-${other.marking.pattern}`} aria-hidden="true" />
      <div class="rail__body">
        <LaneMark position={other} />
        <p>
          {other.now === null ? (
            "Every step over"
          ) : (
            <>
              <span class="sounding">{other.now.number}</span> {other.now.text}{" "}
              <span class="soft">
                {stepStateWords[other.now.state]}
                {other.waits === null ? "" : `: ${other.waits}`}
              </span>
            </>
          )}
        </p>
      </div>
    </div>
  );
}

type RailProps = {
  readonly rail: LaneView;
  readonly nameOf: (position: string) => string;
  readonly tap: Tap;
  /** Its line at the right edge, so that the rungs go from line to line. */
  readonly mirrored: boolean;
};

function Rail({ rail, nameOf, tap, mirrored }: RailProps) {
  const { marking, name } = rail.position;
  return (
    <article
      class={`rail${mirrored ? " rail--mirrored" : ""} lane-${marking.colour}`}
      aria-label={`Lane ${name}`}
    >
      <span class={`rail__line lane-pattern-${marking.pattern}`} aria-hidden="true" />
      <div class="rail__body">
        <KeptHead position={rail.position} progress={rail.progress} />
        {rail.now === null ? (
          <p>Every step of this lane is over.</p>
        ) : (
          <section aria-label={`${name}: step ${rail.now.number}`}>
            <StepPanel card={rail.now} nameOf={nameOf} tap={tap} small>
              <StepActs key={rail.now.step} card={rail.now} tap={tap} laneName={name} />
            </StepPanel>
          </section>
        )}
        <KeptNext name={name} next={rail.next} />
      </div>
    </article>
  );
}

function RailHead({ position, progress }: Pick<LaneView, "position" | "progress">) {
  return (
    <div class="rail__head">
      <h2>
        <LaneMark position={position} />
      </h2>
      <p class="soft">
        {progress.over} of {progress.all} steps over
      </p>
    </div>
  );
}

function RailNext({ name, next }: Pick<LaneView, "next"> & { readonly name: string }) {
  return (
    <ol class="rail__next" aria-label={`${name}: next`}>
      {next.map((line) => (
        <li key={line.step}>
          <p>
            <span class="sounding">{line.number}</span> {line.text}
          </p>
          <p class="small">
            {line.hazardWords.map((word) => (
              <HazardFlag key={word} word={word} />
            ))}
            {line.meetName === null ? null : <strong>Meet: {line.meetName}</strong>}
          </p>
        </li>
      ))}
    </ol>
  );
}

type RungsProps = { readonly live: LiveRun; readonly meets: readonly MeetComing[] };

// The meets that are coming stand between the lanes, as rungs do on a ladder.
function Rungs({ live, meets }: RungsProps) {
  const next = meets[0];
  if (next === undefined) return null;
  return (
    <div class="rung">
      <div class="rung__plaque">
        <strong>Meet: {next.name}</strong>
        {next.lanes.map((one) => (
          <span key={one.lane}>
            {positionName(live.index, one.lane)} {meetWords(one.stepsAway, one.passed)}
          </span>
        ))}
      </div>
    </div>
  );
}

function meetWords(stepsAway: number, passed: boolean): string {
  if (passed) return "has passed";
  if (stepsAway === 0) return "is there";
  return stepsAway === 1 ? "is 1 step away" : `is ${stepsAway} steps away`;
}
