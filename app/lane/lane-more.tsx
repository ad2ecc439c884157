// What is within reach besides the step: undo, hold, note, oddity, terminate.

import { useState } from "preact/hooks";
import type { StepId } from "../../machines/procedure/ids.ts";
import type { LaneView } from "../../machines/views/lane-view.ts";
import type { LiveRun } from "../live/live-run.ts";
import { NoteDialog } from "../parts/note-dialog.tsx";
import { ReasonDialog } from "../parts/reason-dialog.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { UndoButton } from "../parts/undo-button.tsx";
import type { Tap } from "../parts/use-tap.ts";

/** What the row needs. */
export type LaneMoreProps = {
  readonly live: LiveRun;
  readonly view: MoreView;
  readonly tap: Tap;
};

/** What the row shows of a lane. */
export type MoreView = Pick<LaneView, "lane" | "position" | "mayAct" | "lastTap"> & {
  readonly isStarted: boolean;
  /** The step of now; null: every step is over. */
  readonly step: StepId | null;
};

/** The part of a lane's view that the row shows. */
export function moreOf({ now, petSeconds, ...view }: LaneView): MoreView {
  const { lane, position, mayAct, lastTap } = view;
  const isStarted = petSeconds !== null;
  return { lane, position, mayAct, lastTap, isStarted, step: now?.step ?? null };
}

type Asked = "hold" | "request" | "note" | "terminate" | null;

/** The row under the step. */
export function LaneMore({ live, view, tap }: LaneMoreProps) {
  const [asked, setAsked] = useState<Asked>(null);
  const close = () => setAsked(null);
  const { role } = live.me;
  if (!view.mayAct) return null;
  const scope = { covers: "lane", lane: view.lane } as const;
  const raise = (reason: string) =>
    tap({ kind: "hold.raised", scope, reason, inject: null }, view.lane);
  return (
    <div class="taps" role="group" aria-label="More">
      <UndoButton lastTap={view.lastTap} tap={tap} />
      {role === "support" ? (
        <TapButton onTap={() => setAsked("request")}>Ask for a hold…</TapButton>
      ) : (
        <>
          <TapButton onTap={() => raise("Stop, unsure")}>Hold: unsure</TapButton>
          <TapButton onTap={() => setAsked("hold")}>Hold with a reason…</TapButton>
        </>
      )}
      <TapButton onTap={() => setAsked("note")}>Note…</TapButton>
      {role === "support" || !view.isStarted ? null : (
        <TapButton onTap={() => setAsked("terminate")}>Terminate…</TapButton>
      )}
      {asked === "hold" ? (
        <ReasonDialog
          title={`Hold ${view.position.name}’s lane`}
          says="The lane stops until a director releases the hold."
          suggestions={["Hazard seen", "Need to talk", "Item missing", "Count again"]}
          act="Raise hold"
          onReason={(reason) => {
            close();
            raise(reason);
          }}
          onClose={close}
        />
      ) : null}
      {asked === "request" ? (
        <ReasonDialog
          title="Ask for a hold"
          says="The director and the reader see it and decide."
          suggestions={["Hazard seen", "Need to talk", "Arm not ready"]}
          act="Ask"
          onReason={(reason) => {
            close();
            tap({ kind: "hold.requested", reason }, view.lane);
          }}
          onClose={close}
        />
      ) : null}
      {asked === "terminate" ? (
        <ReasonDialog
          title="Terminate: orderly return"
          says="Everyone makes safe, gathers items and tethers, and returns in order."
          suggestions={["Suit trouble", "Crew member unwell", "Out of time"]}
          act="Call terminate"
          hold
          tone="against"
          onReason={(reason) => {
            close();
            tap({ kind: "run.terminated", reason }, view.lane);
          }}
          onClose={close}
        />
      ) : null}
      {asked === "note" ? (
        <NoteDialog step={view.step} as={view.lane} tap={tap} onClose={close} />
      ) : null}
    </div>
  );
}
