// The lane screen: one step large, what is before and after it, the other lanes in a line.

import { useCallback, useEffect, useRef } from "preact/hooks";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { Position } from "../../machines/procedure/procedure.ts";
import { laneView } from "../../machines/views/lane-view.ts";
import type { LaneView } from "../../machines/views/lane-view.ts";
import { mayActFor } from "../../machines/views/may-act.ts";
import { positionName } from "../../machines/views/words.ts";
import type { LiveRun } from "../live/live-run.ts";
import { announce } from "../parts/announce.tsx";
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
import { Briefing } from "./briefing.tsx";
import { Course, courseOf } from "./course.tsx";
import { LaneMore, moreOf } from "./lane-more.tsx";
import "./lane.css";

/** Which run and which lane; `onLane` goes to another lane. */
export type LaneScreenProps = {
  readonly live: LiveRun;
  readonly lane: PositionId | null;
  readonly onLane: (lane: PositionId) => void;
};

/** The crew's screen. */
export function LaneScreen({ live, lane, onLane }: LaneScreenProps) {
  const tap = useTap(live);
  const nameOf = useCallback(
    (position: string) => positionName(live.index, position as PositionId),
    [live],
  );
  const ref = useRef<HTMLDivElement>(null);
  useKeptFocus(ref);
  const view =
    lane === null
      ? undefined
      : laneView(live.index, live.state.value, lane, {
          viewer: live.me,
          nowMs: live.nowMs.value,
        });
  useStepAnnouncements(view);
  if (view === undefined) return <Notice title="This run has no such lane." />;
  return (
    <div ref={ref} class={`lane-screen lane-${view.position.marking.colour}`}>
      <KeptHead live={live} head={headOf(view)} onLane={onLane} />
      <KeptInjects injects={view.injects} lane={view.lane} mayAnswer={view.mayAct} tap={tap} />
      {view.phase === "briefing" ? (
        <>
          <KeptBriefing live={live} tap={tap} />
          <KeptMore live={live} view={moreOf(view)} tap={tap} />
        </>
      ) : (
        <div class="lane-screen__body">
          <NowPanel view={view} nameOf={nameOf} tap={tap} />
          <div class="lane-screen__beside">
            <KeptMore live={live} view={moreOf(view)} tap={tap} />
            <KeptCourse course={courseOf(view)} />
          </div>
        </div>
      )}
    </div>
  );
}

const KeptHead = kept(LaneHead);
const KeptInjects = kept(InjectCards);
const KeptBriefing = kept(Briefing);
const KeptMore = kept(LaneMore);
const KeptCourse = kept(Course);

type Head = Pick<LaneView, "lane" | "position" | "progress" | "mayAct">;

function headOf({ lane, position, progress, mayAct }: LaneView): Head {
  return { lane, position, progress, mayAct };
}

type LaneHeadProps = Pick<LaneScreenProps, "live" | "onLane"> & { readonly head: Head };

function LaneHead({ live, head, onLane }: LaneHeadProps) {
  return (
    <header class="lane-screen__head">
      <h2>
        <LaneMark position={head.position} />
      </h2>
      <p class="soft">
        {head.progress.over} of {head.progress.all} steps over
      </p>
      {head.mayAct ? null : <strong>Looking on</strong>}
      <LaneSwitch live={live} lane={head.lane} onLane={onLane} />
    </header>
  );
}

type NowPanelProps = {
  readonly view: LaneView;
  readonly nameOf: (position: string) => string;
  readonly tap: Tap;
};

function NowPanel({ view, nameOf, tap }: NowPanelProps) {
  if (view.now === null) {
    return (
      <section class="landing" aria-label="Step of now">
        <h2 tabIndex={-1} data-focus-home>
          Every step of this lane is over.
        </h2>
      </section>
    );
  }
  return (
    <section class="landing" aria-label={`Step ${view.now.number}`}>
      <div
        class={`lane-screen__rail lane-pattern-${view.position.marking.pattern}`}
        aria-hidden="true"
      />
      <StepPanel card={view.now} nameOf={nameOf} tap={tap}>
        <StepActs key={view.now.step} card={view.now} tap={tap} />
      </StepPanel>
    </section>
  );
}

// Where this device acts for several lanes, they are one tap apart.
function LaneSwitch({ live, lane, onLane }: LaneScreenProps) {
  const mine = live.procedure.positions.filter((one) => mayActFor(live.me, one.id));
  if (mine.length < 2) return null;
  return (
    <nav class="taps lane-screen__switch" aria-label="Lanes">
      {mine.map((one: Position) => (
        <TapButton
          key={one.id}
          tone={one.id === lane ? "chosen" : "plain"}
          pressed={one.id === lane}
          onTap={() => onLane(one.id)}
        >
          <span class="unseen">Lane </span>
          <LaneMark position={one} />
        </TapButton>
      ))}
    </nav>
  );
}

function useStepAnnouncements(view: LaneView | undefined): void {
  const { now } = view ?? { now: null };
  const key = view === undefined ? "" : `${view.lane} ${now?.step ?? "over"}`;
  const before = useRef(key);
  const says =
    now === null ? "Every step of this lane is over." : `Step ${now.number}: ${now.text}`;
  useEffect(() => {
    if (before.current !== key && key !== "") announce(says, "polite");
    before.current = key;
  }, [key, says]);
}
