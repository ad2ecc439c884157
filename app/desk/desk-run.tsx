// The run as a whole: its time, its estimated end, and what the director may do to it.

import { useState } from "preact/hooks";
import { formatPet, formatSpan } from "../../machines/views/format-time.ts";
import type { DeskView, EndEstimate, RunAct } from "../../machines/views/desk-view.ts";
import { phaseWords } from "../../machines/views/words.ts";
import { HoldToDoButton } from "../parts/hold-to-do-button.tsx";
import { lagWords, petRangeWords } from "../parts/lane-strip.tsx";
import { ReasonDialog } from "../parts/reason-dialog.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import type { Tap } from "../parts/use-tap.ts";

/** What the run's panel shows. */
export type DeskRunProps = { readonly view: DeskView; readonly tap: Tap };

/** Clock, estimate and acts. */
export function DeskRun({ view, tap }: DeskRunProps) {
  return (
    <section class="desk__run paper" aria-labelledby="desk-run">
      <div class="desk__clock">
        <h3 id="desk-run">{phaseWords[view.phase]}</h3>
        <p>
          <span class="soft">PET</span>{" "}
          <span class="desk__pet sounding">
            {view.petSeconds === null ? "not started" : formatPet(view.petSeconds)}
          </span>
        </p>
      </div>
      <EndWords end={view.end} isRunning={view.petSeconds !== null && view.phase !== "closed"} />
      <RunActs acts={view.acts} tap={tap} />
    </section>
  );
}

function EndWords({ end, isRunning }: { readonly end: EndEstimate; readonly isRunning: boolean }) {
  const over = end.expected.toSeconds - end.maxSeconds;
  return (
    <dl class="desk__end">
      <div>
        <dt>Planned end</dt>
        <dd class="sounding">{formatPet(end.plannedSeconds)}</dd>
      </div>
      {isRunning ? (
        <div>
          <dt>Estimated end, if every hold ends now</dt>
          <dd>
            {petRangeWords(end.expected)}; {lagWords(end.behindSeconds)}
          </dd>
        </div>
      ) : null}
      <div>
        <dt>Limit of the run</dt>
        <dd>
          <span class="sounding">{formatPet(end.maxSeconds)}</span>
          {isRunning && over > 0 ? ` · may be passed by up to ${formatSpan(over)}` : ""}
        </dd>
      </div>
    </dl>
  );
}

function RunActs({ acts, tap }: { readonly acts: readonly RunAct[]; readonly tap: Tap }) {
  return (
    <div class="taps" role="group" aria-label="The run">
      {acts.includes("start") ? (
        <HoldToDoButton tone="main" wide onDone={() => tap({ kind: "run.started" }, null)}>
          Start the run
        </HoldToDoButton>
      ) : null}
      {acts.includes("start-closing") ? (
        <HoldToDoButton onDone={() => tap({ kind: "run.closing-started" }, null)}>
          Start closing
        </HoldToDoButton>
      ) : null}
      {acts.includes("close") ? (
        <HoldToDoButton tone="main" wide onDone={() => tap({ kind: "run.closed" }, null)}>
          Close the run
        </HoldToDoButton>
      ) : null}
      {acts.includes("terminate") ? (
        <EndEarly
          title="Terminate the run"
          says="Orderly return: items and tethers are gathered on the way."
          act="Terminate"
          onReason={(reason) => tap({ kind: "run.terminated", reason }, null)}
        />
      ) : null}
      {acts.includes("abort") ? (
        <EndEarly
          title="Abort the run"
          says="Straight to the hatch. For a real emergency call the real stop instead."
          act="Abort"
          onReason={(reason) => tap({ kind: "run.aborted", reason }, null)}
        />
      ) : null}
    </div>
  );
}

type EndEarlyProps = {
  readonly title: string;
  readonly says: string;
  readonly act: string;
  readonly onReason: (reason: string) => void;
};

function EndEarly({ title, says, act, onReason }: EndEarlyProps) {
  const [asking, setAsking] = useState(false);
  return (
    <>
      <TapButton onTap={() => setAsking(true)}>{act}…</TapButton>
      {asking ? (
        <ReasonDialog
          title={title}
          says={says}
          suggestions={["Out of time", "Consumables", "Suit", "Hardware", "Exercise"]}
          act={act}
          hold
          tone="against"
          onReason={(reason) => {
            setAsking(false);
            onReason(reason);
          }}
          onClose={() => setAsking(false)}
        />
      ) : null}
    </>
  );
}
