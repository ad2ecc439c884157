// The plan of a procedure, checked: what was found, where, why, and what would mend it.

import { useEffect, useState } from "preact/hooks";
import type { Identity } from "../../machines/procedure/ids.ts";
import { partWords } from "../../machines/views/plan-part-words.ts";
import type { LiveShelf } from "../live/live-shelf.ts";
import { createPlanCheck } from "../live/plan-check.ts";
import type { PlanCheck, PlanCheckState } from "../live/plan-check.ts";
import { announce } from "../parts/announce.tsx";
import { Notice } from "../parts/notice.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import "./plan.css";
import { PlanReportView } from "./plan-report-view.tsx";

/** Which procedure, on which shelf. */
export type PlanScreenProps = { readonly shelf: LiveShelf; readonly procedure: Identity };

/** The screen; it checks as soon as it is there. */
export function PlanScreen({ shelf, procedure }: PlanScreenProps) {
  const [check] = useState(() => createPlanCheck(() => shelf.readProcedure(procedure)));
  useEffect(() => {
    check.start();
    return () => check.close();
  }, [check]);
  const state = check.state.value;
  useEffect(() => announce(wordsOf(state), "polite"), [state.state]);
  const known = shelf.procedures.value.find(({ identity }) => identity === procedure);
  return (
    <div class="plan">
      <div class="plan__head">
        <h2>Check of the plan</h2>
        <p class="plan__title">
          {known === undefined ? "A procedure" : `${known.title}, revision ${known.revision}`}
        </p>
        <p class="small soft">
          Identity <code>{procedure.slice(0, 12)}</code>
        </p>
      </div>
      <Progress check={check} state={state} />
      {state.state === "checked" ? <PlanReportView report={state.report} /> : null}
      {state.state === "refused" ? <Refused state={state} /> : null}
      {state.state === "failed" ? (
        <Notice title={state.refusal.says} tone="against" role="note">
          <p>{state.refusal.mend}</p>
        </Notice>
      ) : null}
      {state.state === "cancelled" ? (
        <Notice title="The check was cancelled. Nothing is said of this plan." />
      ) : null}
    </div>
  );
}

type ProgressProps = { readonly check: PlanCheck; readonly state: PlanCheckState };

// One button for both, so that the focus stays where it is when a check ends.
function Progress({ check, state }: ProgressProps) {
  const isChecking = state.state === "checking";
  return (
    <div class="plan__progress">
      <TapButton onTap={isChecking ? check.cancel : check.start}>
        {isChecking ? "Cancel the check" : "Check again"}
      </TapButton>
      {isChecking ? (
        <div class="plan__bar">
          <label for="plan-progress">
            {partWords(state.name).name}: part {state.part + 1} of {state.parts}
          </label>
          <progress id="plan-progress" value={state.part} max={state.parts} />
        </div>
      ) : null}
    </div>
  );
}

function Refused({ state }: { readonly state: PlanCheckState & { readonly state: "refused" } }) {
  const more = state.count - state.faults.length;
  return (
    <Notice title="What is stored is no procedure that can be checked." tone="against">
      <p>This device’s copy is damaged. Check the plan on another device. What is wrong here:</p>
      <ol class="plan__lines">
        {state.faults.map((fault, at) => (
          <li key={at}>
            {fault.says} {fault.mend} <code>{fault.path}</code>
          </li>
        ))}
      </ol>
      {more > 0 ? <p>… and {more} more.</p> : null}
    </Notice>
  );
}

function wordsOf(state: PlanCheckState): string {
  switch (state.state) {
    case "checking":
      return "Checking the plan.";
    case "cancelled":
      return "The check was cancelled.";
    case "checked":
      return state.report.headline;
    case "refused":
      return "What is stored is no procedure that can be checked.";
    case "failed":
      return `${state.refusal.says} ${state.refusal.mend}`;
  }
}
