// The reader's row: hold everyone, a lane or a task; note; undo.

import { useState } from "preact/hooks";
import type { HoldScope } from "../../machines/record/entry.ts";
import type { PairView } from "../../machines/views/pair-view.ts";
import { scopeWords } from "../../machines/views/words.ts";
import type { LiveRun } from "../live/live-run.ts";
import { NoteDialog } from "../parts/note-dialog.tsx";
import { ReasonDialog } from "../parts/reason-dialog.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { UndoButton } from "../parts/undo-button.tsx";
import type { Tap } from "../parts/use-tap.ts";

/** What the row needs. */
export type PairMoreProps = {
  readonly live: LiveRun;
  readonly view: PairView;
  readonly tap: Tap;
};

/** Holds of every scope, a note, and undo. */
export function PairMore({ live, view, tap }: PairMoreProps) {
  const [scope, setScope] = useState<HoldScope | null>(null);
  const [noting, setNoting] = useState(false);
  const raise = (over: HoldScope, reason: string) =>
    tap({ kind: "hold.raised", scope: over, reason, inject: null }, live.me.lane);
  const everyone = { covers: "everyone" } as const;
  return (
    <div class="taps" role="group" aria-label="More">
      <TapButton onTap={() => raise(everyone, "Stop, unsure")}>Hold everyone: unsure</TapButton>
      <TapButton onTap={() => setScope(everyone)}>Hold everyone…</TapButton>
      {view.rails.map((rail) => (
        <TapButton key={rail.lane} onTap={() => setScope({ covers: "lane", lane: rail.lane })}>
          Hold {rail.position.name}…
        </TapButton>
      ))}
      <TapButton onTap={() => setNoting(true)}>Note…</TapButton>
      <UndoButton lastTap={view.lastTap} tap={tap} />
      {scope === null ? null : (
        <ReasonDialog
          title={`Hold ${scopeWords(live.index, scope)}`}
          suggestions={["Hazard seen", "Need to talk", "Loop lost", "Count again"]}
          act="Raise hold"
          onReason={(reason) => {
            setScope(null);
            raise(scope, reason);
          }}
          onClose={() => setScope(null)}
        />
      )}
      {noting ? (
        <NoteDialog step={null} as={live.me.lane} tap={tap} onClose={() => setNoting(false)} />
      ) : null}
    </div>
  );
}
