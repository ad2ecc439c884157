// The debrief: planned against as run, and everything that was put in. The same on every device.

import { useMemo } from "preact/hooks";
import { plannedTimes } from "../../machines/time/planned-times.ts";
import { debriefView } from "../../machines/views/debrief-view.ts";
import type { DebriefTotals, DebriefView } from "../../machines/views/debrief-view.ts";
import { formatPet, formatSpan } from "../../machines/views/format-time.ts";
import { ladderView } from "../../machines/views/ladder-view.ts";
import { Ladder } from "../ladder/ladder.tsx";
import type { LiveRun } from "../live/live-run.ts";
import { HandOnBundle } from "../parts/hand-on-bundle.tsx";
import { Notice } from "../parts/notice.tsx";
import { DebriefFacts } from "./debrief-facts.tsx";
import { DebriefHolds } from "./debrief-holds.tsx";
import { DebriefInjects } from "./debrief-injects.tsx";
import { DebriefLaneTable } from "./debrief-lane-table.tsx";
import { DebriefPart } from "./debrief-part.tsx";
import { ExportLinks } from "./export-links.tsx";
import "./debrief.css";

/** The debrief of a run, over or not. */
export function DebriefScreen({ live }: { readonly live: LiveRun }) {
  const { index } = live;
  const state = live.state.value;
  const entries = live.entries.value;
  const isOver = state.closedAtMs !== null;
  // While the run goes on the debrief moves on with what is entered, and every quarter of a minute.
  const nowMs = state.closedAtMs ?? Math.floor(live.nowMs.value / 15_000) * 15_000;
  const planned = useMemo(() => plannedTimes(index), [index]);
  const view = useMemo(
    () => debriefView({ index, planned, entries, state, nowMs }),
    [index, planned, entries, state, nowMs],
  );
  const ladder = useMemo(
    () => ladderView(index, planned, state, nowMs),
    [index, planned, state, nowMs],
  );
  return (
    <div class="debrief">
      <h2>Debrief</h2>
      <p>
        {live.procedure.title}, revision {live.procedure.revision}. Revision identity{" "}
        <span class="debrief__identity">{state.procedure ?? "unknown"}</span>
      </p>
      {isOver ? null : (
        <Notice title="The run is not closed yet.">
          <p>This is the debrief of what this device holds by now.</p>
        </Notice>
      )}
      <Totals totals={view.totals} view={view} />
      <p>{view.times}</p>
      <ExportLinks live={live} />
      <HandOnBundle live={live} />
      <DebriefPart id="ladder" title="Ladder: planned beside as run">
        <Ladder index={index} ladder={ladder} beside />
      </DebriefPart>
      <DebriefPart id="lanes" title="Planned against as run, by lane">
        {view.lanes.map((lane) => (
          <DebriefLaneTable key={lane.position.id} lane={lane} />
        ))}
      </DebriefPart>
      <DebriefRest view={view} />
    </div>
  );
}

function DebriefRest({ view }: { readonly view: DebriefView }) {
  return (
    <>
      <DebriefFacts id="variances" title="Variances" facts={view.variances} none="None." />
      <DebriefHolds holds={view.holds} />
      <DebriefInjects injects={view.injects} />
      <DebriefFacts id="oddities" title="Oddities" facts={view.oddities} none="None noted." />
      <DebriefFacts id="notes" title="Notes" facts={view.notes} none="None." />
      <NotDone view={view} />
      <DebriefFacts
        id="checks"
        title="Recurring checks"
        facts={view.checks}
        none="None recorded."
      />
      <DebriefFacts
        id="set-aside"
        title="Entries that changed nothing"
        facts={view.setAside}
        none="None."
      />
      <Devices view={view} />
    </>
  );
}

function Totals({ totals, view }: { readonly totals: DebriefTotals; readonly view: DebriefView }) {
  const figures: readonly (readonly [string, string])[] = [
    ["Steps done", `${totals.doneCount} of ${totals.inPlayCount}`],
    ["Ran", totals.ranSeconds === null ? "not started" : formatPet(totals.ranSeconds)],
    ["Planned", formatPet(totals.plannedSeconds)],
    ["Everyone on hold", formatSpan(totals.heldEveryoneSeconds)],
    ["Holds", String(view.holds.length)],
    ["Variances", String(view.variances.length)],
    ["Injects", String(view.injects.length)],
  ];
  return (
    <dl class="debrief__totals paper">
      {figures.map(([name, figure]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd class="sounding">{figure}</dd>
        </div>
      ))}
    </dl>
  );
}

const notDoneWords = {
  "standing-by": "Not reached",
  waiting: "Not reached",
  gated: "Not reached",
  clear: "Not reached",
  working: "Not finished",
  done: "Done",
  "partly-done": "Partly done",
  deferred: "Deferred",
  "not-performed": "Not performed",
} as const;

function NotDone({ view }: { readonly view: DebriefView }) {
  return (
    <DebriefPart id="not-done" title={`Steps not done: ${view.notDone.length}`}>
      {view.notDone.length === 0 ? <p>Every step in play was done.</p> : null}
      <ul class="facts">
        {view.notDone.map((step) => (
          <li key={step.name}>
            <strong>{step.name}</strong>: {step.text} <strong>{notDoneWords[step.state]}.</strong>{" "}
            {step.reason === null ? "" : `Reason: ${step.reason}`}
          </li>
        ))}
      </ul>
    </DebriefPart>
  );
}

function Devices({ view }: { readonly view: DebriefView }) {
  return (
    <DebriefPart id="devices" title={`Devices: ${view.devices.length}`}>
      <ul class="facts">
        {view.devices.map((device) => (
          <li key={device.device}>
            <strong>{device.name}</strong>: {device.role}; {device.entryCount} entries
            {device.times === "" ? "" : `; ${device.times}`}
            {device.isStruckOff ? "; struck off" : ""}
          </li>
        ))}
      </ul>
    </DebriefPart>
  );
}
