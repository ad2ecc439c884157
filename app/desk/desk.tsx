// The desk: where a director runs the run.

import { useMemo } from "preact/hooks";
import { plannedTimes } from "../../machines/time/planned-times.ts";
import { deskView } from "../../machines/views/desk-view.ts";
import type { DeskView } from "../../machines/views/desk-view.ts";
import { injectViews } from "../../machines/views/inject-view.ts";
import { ladderView } from "../../machines/views/ladder-view.ts";
import { Ladder } from "../ladder/ladder.tsx";
import type { LiveRun } from "../live/live-run.ts";
import { LaneStrip } from "../parts/lane-strip.tsx";
import { Notice } from "../parts/notice.tsx";
import { useTap } from "../parts/use-tap.ts";
import type { Tap } from "../parts/use-tap.ts";
import { DeskDevices } from "./desk-devices.tsx";
import { DeskHolds } from "./desk-holds.tsx";
import { DeskInjects } from "./desk-injects.tsx";
import { DeskRun } from "./desk-run.tsx";
import { DeskSetAside } from "./desk-set-aside.tsx";
import "./desk.css";

/** The desk of a run; a plain word for devices that are not a director's. */
export function DeskScreen({ live }: { readonly live: LiveRun }) {
  if (live.me.role !== "director") {
    return (
      <Notice title="The desk is for director devices.">
        <p>This device follows the run on its own screens.</p>
      </Notice>
    );
  }
  return <Desk live={live} />;
}

function Desk({ live }: { readonly live: LiveRun }) {
  const tap = useTap(live);
  const planned = useMemo(() => plannedTimes(live.index), [live.index]);
  const nowMs = live.nowMs.value;
  const view = deskView({
    index: live.index,
    state: live.state.value,
    planned,
    nowMs,
    thisDevice: live.me.device,
    lastHeardMs: live.link.value.lastHeardMs,
  });
  return (
    <div class="desk">
      <h2 class="unseen">Desk</h2>
      <DeskRun view={view} tap={tap} />
      <div class="desk__columns">
        <div class="desk__column">
          <DeskHolds index={live.index} view={view} tap={tap} />
          <Lanes view={view} />
        </div>
        <div class="desk__column">
          <Injects live={live} tap={tap} />
          <DeskSetAside live={live} />
          <DeskDevices live={live} view={view} nowMs={nowMs} />
        </div>
      </div>
      <section class="desk__part" aria-labelledby="desk-ladder">
        <h3 id="desk-ladder">Ladder</h3>
        <DeskLadder live={live} planned={planned} />
      </section>
    </div>
  );
}

function Lanes({ view }: { readonly view: DeskView }) {
  return (
    <section class="desk__part" aria-labelledby="desk-lanes">
      <h3 id="desk-lanes">Lanes</h3>
      <ul class="lane-strips">
        {view.lanes.map((lane) => (
          <LaneStrip key={lane.position.id} lane={lane} />
        ))}
      </ul>
    </section>
  );
}

function Injects({ live, tap }: { readonly live: LiveRun; readonly tap: Tap }) {
  const injects = injectViews(
    live.index,
    live.injectScript.value,
    live.state.value,
    live.nowMs.value,
  );
  return <DeskInjects live={live} injects={injects} tap={tap} />;
}

// Redrawn when something is entered, and else every five seconds: now moves slowly on it.
function DeskLadder({
  live,
  planned,
}: {
  readonly live: LiveRun;
  readonly planned: ReturnType<typeof plannedTimes>;
}) {
  const state = live.state.value;
  const nowMs = Math.floor(live.nowMs.value / 5000) * 5000;
  return useMemo(
    () => (
      <Ladder
        index={live.index}
        ladder={ladderView(live.index, planned, state, nowMs)}
        beside={false}
      />
    ),
    [live.index, planned, state, nowMs],
  );
}
