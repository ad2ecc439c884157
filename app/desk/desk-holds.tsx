// Holds at the desk: raise one on everyone, a lane or a task; see who has acknowledged; requests.
// A hold is released on the banner above every screen.

import { useState } from "preact/hooks";
import type { TaskId } from "../../machines/procedure/ids.ts";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import type { HoldScope } from "../../machines/record/entry.ts";
import type { DeskView, RequestView } from "../../machines/views/desk-view.ts";
import { formatSpan } from "../../machines/views/format-time.ts";
import type { HoldView } from "../../machines/views/hold-view.ts";
import { scopeWords } from "../../machines/views/words.ts";
import { timeOfDay } from "../parts/age.tsx";
import { ChoiceField } from "../parts/field.tsx";
import { HoldToDoButton } from "../parts/hold-to-do-button.tsx";
import { Notice } from "../parts/notice.tsx";
import { ReasonDialog } from "../parts/reason-dialog.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import type { Tap } from "../parts/use-tap.ts";

/** What the desk needs for holds. */
export type DeskHoldsProps = {
  readonly index: ProcedureIndex;
  readonly view: DeskView;
  readonly tap: Tap;
};

const reasons = ["Wait for my word", "Check a tether", "Question from the crew", "Item astray"];

/** Raise, list, answer requests. */
export function DeskHolds({ index, view, tap }: DeskHoldsProps) {
  const [asked, setAsked] = useState<Asked | null>(null);
  return (
    <section class="desk__part" aria-labelledby="desk-holds">
      <h3 id="desk-holds">Holds</h3>
      {view.requests.map((request) => (
        <Request
          key={`${request.from} ${request.atMs}`}
          request={request}
          onAnswer={(scope) => setAsked({ scope, reason: request.reason })}
        />
      ))}
      <RaiseButtons
        index={index}
        view={view}
        onScope={(scope) => setAsked({ scope, reason: null })}
      />
      <ul class="desk__list">
        {view.holds.map((hold) => (
          <HoldRow key={hold.hold} hold={hold} tap={tap} />
        ))}
      </ul>
      {view.holds.length === 0 ? <p class="soft">No hold stands.</p> : null}
      {asked === null ? null : (
        <ReasonDialog
          title={`Hold ${scopeWords(index, asked.scope)}`}
          suggestions={asked.reason === null ? reasons : [asked.reason, ...reasons]}
          act="Raise hold"
          onReason={(reason) => {
            setAsked(null);
            tap({ kind: "hold.raised", scope: asked.scope, reason, inject: null }, null);
          }}
          onClose={() => setAsked(null)}
        />
      )}
    </section>
  );
}

type Asked = { readonly scope: HoldScope; readonly reason: string | null };

type RaiseButtonsProps = {
  readonly index: ProcedureIndex;
  readonly view: DeskView;
  readonly onScope: (scope: HoldScope) => void;
};

function RaiseButtons({ index, view, onScope }: RaiseButtonsProps) {
  const tasks = index.procedure.tasks;
  const [task, setTask] = useState<TaskId | null>(tasks[0]?.id ?? null);
  return (
    <>
      <div class="taps" role="group" aria-label="Raise a hold">
        <TapButton tone="main" wide onTap={() => onScope({ covers: "everyone" })}>
          Hold everyone…
        </TapButton>
        {view.lanes.map(({ position }) => (
          <TapButton key={position.id} onTap={() => onScope({ covers: "lane", lane: position.id })}>
            Hold {position.name}…
          </TapButton>
        ))}
      </div>
      {task === null ? null : (
        <details class="desk__more">
          <summary>Hold one task</summary>
          <ChoiceField
            label="Task"
            value={task}
            choices={tasks.map(({ id, name }) => ({ value: id, label: name }))}
            onValue={(value) => setTask(value as TaskId)}
          />
          <div class="taps">
            <TapButton wide onTap={() => onScope({ covers: "task", task })}>
              Hold this task…
            </TapButton>
          </div>
        </details>
      )}
    </>
  );
}

function HoldRow({ hold, tap }: { readonly hold: HoldView; readonly tap: Tap }) {
  return (
    <li class="desk__hold" data-hold={hold.hold}>
      <p>
        {hold.isSimulated ? <strong class="desk__simulated">SIMULATED </strong> : null}
        <strong>Hold: {hold.covers}</strong>, for {formatSpan(hold.lastedSeconds)}
      </p>
      <p>{hold.reason}</p>
      <p class="soft">
        Raised by {hold.raisedBy}.{" "}
        {hold.acknowledged.length === 0
          ? "Nobody has acknowledged it yet."
          : `Acknowledged: ${hold.acknowledged.join(", ")}.`}
        {hold.missing.length === 0 ? "" : ` Not yet: ${hold.missing.join(", ")}.`}
      </p>
      <div class="taps">
        <HoldToDoButton onDone={() => tap({ kind: "hold.released", hold: hold.hold }, null)}>
          Release<span class="unseen"> the hold on {hold.covers}</span>
        </HoldToDoButton>
      </div>
    </li>
  );
}

type RequestProps = {
  readonly request: RequestView;
  readonly onAnswer: (scope: HoldScope) => void;
};

function Request({ request, onAnswer }: RequestProps) {
  const { lane } = request;
  return (
    <Notice title={`${request.from} asks for a hold`} tone="against" role="status">
      <p>
        {request.reason} ({timeOfDay(request.atMs)})
      </p>
      <div class="taps">
        <TapButton tone="main" onTap={() => onAnswer({ covers: "everyone" })}>
          Hold everyone…
        </TapButton>
        {lane === null ? null : (
          <TapButton onTap={() => onAnswer({ covers: "lane", lane })}>Hold that lane…</TapButton>
        )}
      </div>
    </Notice>
  );
}
