// The frame of a run's screens: title, clock, tabs, link, real stop; holds and refusals over them.

import { computed } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useMemo } from "preact/hooks";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { RunPhase } from "../../machines/record/run-state.ts";
import { petSeconds } from "../../machines/views/desk-view.ts";
import { formatPet } from "../../machines/views/format-time.ts";
import { holdLines } from "../../machines/views/hold-line.ts";
import { mayActFor } from "../../machines/views/may-act.ts";
import { phaseWords } from "../../machines/views/words.ts";
import { DebriefScreen } from "../debrief/debrief.tsx";
import { DeskScreen } from "../desk/desk.tsx";
import { FollowScreen } from "../follow/follow.tsx";
import { LaneScreen } from "../lane/lane.tsx";
import type { LiveRun } from "../live/live-run.ts";
import { useRun } from "../live/use-run.ts";
import { PairScreen } from "../pair/pair.tsx";
import { HoldBanner } from "../parts/hold-banner.tsx";
import { kept } from "../parts/kept.tsx";
import { LinkBadge } from "../parts/link-badge.tsx";
import { Notice } from "../parts/notice.tsx";
import { StopOnSheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { useTap } from "../parts/use-tap.ts";
import { FrameMark, ThemeSwitch } from "./frame-parts.tsx";
import { LinkNotices } from "./link-notices.tsx";
import { RealStopControl, RealStopOver } from "./real-stop.tsx";
import { goTo } from "./place.ts";
import type { Route } from "./route.ts";
import { routeHash } from "./route.ts";
import { isAlone, screensOf } from "./screens.ts";
import type { ScreenTab } from "./screens.ts";
import { isStruckOff, StruckOffScreen } from "./struck-off.tsx";
import { useRunAnnouncements } from "./use-run-announcements.ts";
import { useWakeLock, wakeState } from "./wake-lock.ts";

type RunRoute = Extract<Route, { readonly at: "run" }>;

/** A run's screen in its frame, once the run is open on this page. */
export function RunFrame({ at }: { readonly at: RunRoute }) {
  const opening = useRun(at.run);
  if (opening.state === "open") return <OpenFrame live={opening.live} at={at} />;
  return (
    <main class="frame__main" id="main" tabIndex={-1}>
      {opening.state === "opening" ? (
        <p role="status">Opening the run…</p>
      ) : (
        <Notice title={opening.refusal.says} tone="against" role="alert">
          <p>{opening.refusal.mend}</p>
          <p>
            <a href="#/shelf">Back to the shelf</a>
          </p>
        </Notice>
      )}
    </main>
  );
}

function OpenFrame({ live, at }: { readonly live: LiveRun; readonly at: RunRoute }) {
  return useFact(live, isStruckOff) ? (
    <StruckOffFrame live={live} />
  ) : (
    <RunningFrame live={live} at={at} />
  );
}

function StruckOffFrame({ live }: { readonly live: LiveRun }) {
  return (
    <>
      <div class="frame">
        <header class="frame__head">
          <div class="frame__brand">
            <FrameMark />
            <div class="frame__names">
              <h1>{runTitle(live)}</h1>
              <p>
                <strong>Struck off</strong>
              </p>
            </div>
          </div>
          <RealStopControl live={live} />
        </header>
        <div />
        <main class="frame__main" id="main" tabIndex={-1}>
          <StruckOffScreen live={live} />
        </main>
        <Refused live={live} />
        <footer class="frame__foot">
          <ThemeSwitch />
        </footer>
      </div>
      <RealStopOver live={live} />
    </>
  );
}

// What ticks or follows the record is read in the parts, so that a tap does not draw all of it anew.
function RunningFrame({ live, at }: { readonly live: LiveRun; readonly at: RunRoute }) {
  useWakeLock();
  const tabs = screensOf(live.me, useFact(live, isAloneNow));
  const screen =
    tabs.find((tab) => tab.screen === at.screen)?.screen ?? tabs[0]?.screen ?? "follow";
  const lane = laneOf(live, at);
  return (
    <StopOnSheet.Provider value={() => <RealStopControl live={live} />}>
      <RunAnnouncements live={live} />
      <div class="frame">
        <header class="frame__head">
          <RunName live={live} />
          <RunTabs live={live} tabs={tabs} screen={screen} />
          <RealStopControl live={live} />
        </header>
        <RunHolds live={live} lane={screen === "lane" ? lane : null} />
        <main class="frame__main" id="main" tabIndex={-1}>
          <LinkNotices live={live} />
          {screenOf(live, screen, lane)}
        </main>
        <Refused live={live} />
        <footer class="frame__foot">
          <ThemeSwitch />
          <a class="tab" href="#/about">
            About
          </a>
          {wakeState.value === "held" ? null : (
            <p>This browser may let the screen go dark. Set the tablet to stay on.</p>
          )}
        </footer>
      </div>
      <RealStopOver live={live} />
    </StopOnSheet.Provider>
  );
}

function screenOf(
  live: LiveRun,
  screen: ScreenTab["screen"],
  lane: PositionId | null,
): ComponentChildren {
  switch (screen) {
    case "lane":
      return (
        <LaneScreen
          live={live}
          lane={lane}
          onLane={(next) => goTo({ at: "run", run: live.run, screen: "lane", lane: next })}
        />
      );
    case "pair":
      return <PairScreen live={live} />;
    case "desk":
      return <DeskScreen live={live} />;
    case "follow":
      return <FollowScreen live={live} />;
    case "debrief":
      return <DebriefScreen live={live} />;
  }
}

// The lane of the address; else the device's own; else the first suited one, else the first.
function laneOf(live: LiveRun, at: RunRoute): PositionId | null {
  if (at.lane !== null && live.index.positionsById.has(at.lane)) return at.lane;
  if (live.me.lane !== null) return live.me.lane;
  const { positions } = live.procedure;
  return (positions.find((one) => one.sort === "suited") ?? positions[0])?.id ?? null;
}

function RunAnnouncements({ live }: { readonly live: LiveRun }) {
  useRunAnnouncements(live);
  return null;
}

function RunName({ live }: { readonly live: LiveRun }) {
  return (
    <div class="frame__brand">
      <FrameMark />
      <div class="frame__names">
        <h1>{useFact(live, runTitle)}</h1>
        <RunClock live={live} />
        <RunLink live={live} />
      </div>
    </div>
  );
}

function RunClock({ live }: { readonly live: LiveRun }) {
  const phase = useFact(live, phaseOf);
  const pet = useFact(live, petWords);
  return (
    <p class="frame__clock">
      {pet === null ? null : (
        <span>
          PET <span class="sounding">{pet}</span>
        </span>
      )}
      <strong data-phase={phase}>{phaseWords[phase]}</strong>
    </p>
  );
}

function RunLink({ live }: { readonly live: LiveRun }) {
  return <LinkBadge link={live.link.value} />;
}

// What a run tells of itself: whoever uses it is drawn anew only when it is another.
function useFact<Value extends string | boolean | null>(
  live: LiveRun,
  read: (live: LiveRun) => Value,
): Value {
  return useMemo(() => computed(() => read(live)), [live, read]).value;
}

function isAloneNow(live: LiveRun): boolean {
  return isAlone(live, live.state.value);
}

function phaseOf({ state }: LiveRun): RunPhase {
  return state.value.phase;
}

function petWords({ state, nowMs }: LiveRun): string | null {
  const seconds = petSeconds(state.value, nowMs.value);
  return seconds === null ? null : formatPet(seconds);
}

function runTitle({ state, procedure }: LiveRun): string {
  const { title } = state.value;
  return title === "" ? procedure.title : title;
}

type RunTabsProps = {
  readonly live: LiveRun;
  readonly tabs: readonly ScreenTab[];
  readonly screen: ScreenTab["screen"];
};

function RunTabs({ live, tabs, screen }: RunTabsProps) {
  return (
    <nav class="tabs frame__tabs" aria-label="Screens of the run">
      <a class="tab" href="#/shelf">
        Shelf
      </a>
      {tabs.map((tab) => (
        <a
          key={tab.screen}
          class="tab"
          href={routeHash({ at: "run", run: live.run, screen: tab.screen, lane: null })}
          aria-current={tab.screen === screen ? "page" : undefined}
        >
          {tab.name}
          {tab.screen === "desk" ? <SetAsideMark live={live} /> : null}
        </a>
      ))}
    </nav>
  );
}

// How much was set aside that no person has seen yet.
function SetAsideMark({ live }: { readonly live: LiveRun }) {
  const seen = live.setAside.seen.value;
  const count = live.setAside.lines.value.filter((line) => !seen.has(line.key)).length;
  if (count === 0) return null;
  return (
    <span class="tab__mark">
      {count}
      <span class="unseen"> set aside, new</span>
    </span>
  );
}

type RunHoldsProps = {
  readonly live: LiveRun;
  /** On a lane's own screen: only what covers it. */
  readonly lane: PositionId | null;
};

const KeptHolds = kept(HoldBanner);

function RunHolds({ live, lane }: RunHoldsProps) {
  const tap = useTap(live);
  const holds = holdLines(live.index, live.state.value, live.me, live.nowMs.value);
  return (
    <KeptHolds
      holds={lane === null ? holds : holds.filter((hold) => hold.lanes.includes(lane))}
      lanes={live.procedure.positions
        .filter((one) => (lane === null || one.id === lane) && mayActFor(live.me, one.id))
        .map((one) => ({ lane: one.id, name: one.name }))}
      as={live.me.lane}
      tap={tap}
    />
  );
}

function Refused({ live }: { readonly live: LiveRun }) {
  const refusal = live.refusal.value;
  if (refusal === null) return null;
  return (
    <div class="refused" role="alert">
      <div class="refused__words">
        <p>
          <strong>NOT SAVED. {refusal.says}</strong>
        </p>
        <p>{refusal.mend}</p>
      </div>
      <TapButton onTap={live.dismissRefusal}>Understood</TapButton>
    </div>
  );
}
