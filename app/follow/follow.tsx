// The follow screen: for support, and for all who look on.

import { useMemo } from "preact/hooks";
import { plannedTimes } from "../../machines/time/planned-times.ts";
import { followView } from "../../machines/views/follow-view.ts";
import type { FollowView } from "../../machines/views/follow-view.ts";
import { formatPet } from "../../machines/views/format-time.ts";
import type { LiveRun } from "../live/live-run.ts";
import { DeviceList } from "../parts/device-list.tsx";
import { LaneStrip, lagWords, petRangeWords } from "../parts/lane-strip.tsx";
import { useTap } from "../parts/use-tap.ts";
import { SiteMap } from "../site-map/site-map.tsx";
import { DueList } from "./due-list.tsx";
import { FollowTell } from "./follow-tell.tsx";
import { Inventory } from "./inventory.tsx";
import "./follow.css";

/** The run as those who follow along see it. */
export function FollowScreen({ live }: { readonly live: LiveRun }) {
  const tap = useTap(live);
  const planned = useMemo(() => plannedTimes(live.index), [live.index]);
  const nowMs = live.nowMs.value;
  const state = live.state.value;
  const view = followView({
    index: live.index,
    state,
    planned,
    nowMs,
    thisDevice: live.me.device,
    lastHeardMs: live.link.value.lastHeardMs,
    lane: live.me.lane,
  });
  return (
    <div class="follow">
      <h2 class="unseen">Follow</h2>
      <div class="follow__column">
        {live.me.lane === null ? null : <DueList live={live} view={view} tap={tap} />}
        <Lanes view={view} />
      </div>
      <div class="follow__column">
        <section class="follow__part" aria-labelledby="follow-map">
          <h3 id="follow-map">Where they are</h3>
          {useMemo(
            () => (
              <SiteMap index={live.index} state={state} />
            ),
            [live.index, state],
          )}
        </section>
        {live.me.role === "observer" ? null : <FollowTell live={live} tap={tap} />}
        <section class="follow__part" aria-labelledby="follow-devices">
          <h3 id="follow-devices">Last word of each device</h3>
          <DeviceList
            devices={view.devices.filter(({ device }) => device !== live.recovery.value)}
            nowMs={nowMs}
          />
        </section>
      </div>
      <div class="follow__part--wide">
        <Inventory items={view.items} nowMs={nowMs} />
      </div>
    </div>
  );
}

function Lanes({ view }: { readonly view: FollowView }) {
  const { end } = view;
  const isRunning = view.petSeconds !== null && view.phase !== "closed";
  return (
    <section class="follow__part" aria-labelledby="follow-lanes">
      <h3 id="follow-lanes">Lanes</h3>
      <p>
        Planned end <span class="sounding">{formatPet(end.plannedSeconds)}</span>.{" "}
        {isRunning
          ? `Estimate, if every hold ends now: ${petRangeWords(end.expected)}, ${lagWords(end.behindSeconds)}.`
          : null}
      </p>
      <ul class="lane-strips">
        {view.lanes.map((lane) => (
          <LaneStrip key={lane.position.id} lane={lane} />
        ))}
      </ul>
    </section>
  );
}
