// The step of now as the doer reads it: hazards first, then the words, gates, question and time.

import type { ComponentChildren } from "preact";
import { formatSpan } from "../../machines/views/format-time.ts";
import type { GateCard } from "../../machines/views/gate-card.ts";
import type { ChoiceCard, StepCard, StepTime } from "../../machines/views/step-card.ts";
import { stepStateWords } from "../../machines/views/words.ts";
import { GateRow } from "./gate-row.tsx";
import { HazardStatement } from "./hazard.tsx";
import { kept } from "./kept.tsx";
import { TapButton } from "./tap-button.tsx";
import type { Tap } from "./use-tap.ts";
import "./step-panel.css";

/** What a step panel shows. */
export type StepPanelProps = {
  readonly card: StepCard;
  readonly nameOf: (position: string) => string;
  readonly tap: Tap;
  readonly small?: boolean;
  /** The acts, below everything. */
  readonly children: ComponentChildren;
};

/** A step large enough for arm's length. Its clock goes on each second; the rest stays as it is drawn. */
export function StepPanel({ card, nameOf, tap, small, children }: StepPanelProps) {
  const isNext = card.acts.next;
  const soon = (gate: GateCard) => gate.before === "done" && isNext === "start";
  const rows = (some: readonly GateCard[]) =>
    some.map((gate) => (
      <KeptGate
        key={gate.gate}
        step={card.step}
        card={gate}
        nameOf={nameOf}
        lane={card.lane}
        tap={tap}
      />
    ));
  return (
    <div class={`step-panel${small === true ? " step-panel--small" : ""}`} data-step={card.step}>
      <KeptHead card={headOf(card)} />
      <div class="gates">
        {rows(card.gates.filter((gate) => gate.sort === "warning"))}
        {rows(card.gates.filter((gate) => gate.sort === "caution"))}
        {card.hazards
          .filter((hazard) => hazard.word === "note")
          .map((hazard) => (
            <KeptHazard key={hazard.text} hazard={hazard} />
          ))}
      </div>
      <p class="step-panel__text">{card.text}</p>
      <KeptDetails card={detailsOf(card)} />
      <div class="gates">
        {rows(card.gates.filter((gate) => isAuthored(gate) && !soon(gate)))}
        {card.gates.filter(soon).map((gate) => (
          <p key={gate.gate} class="soft">
            Before done: {gate.label}
            {gate.target === null ? "" : `, ${gate.target}`}
            {gate.limitsWords === null ? "" : `, ${gate.limitsWords}`}
          </p>
        ))}
      </div>
      {card.choice === null ? null : (
        <KeptChoice
          step={card.step}
          lane={card.lane}
          mayAct={card.acts.mayAct}
          choice={card.choice}
          tap={tap}
        />
      )}
      <KeptStaff time={card.time} />
      {children}
    </div>
  );
}

const KeptHead = kept(StepHead);
const KeptGate = kept(GateRow);
const KeptHazard = kept(HazardStatement);
const KeptDetails = kept(StepDetails);
const KeptChoice = kept(Choice);
const KeptStaff = kept(TimeStaff);

function isAuthored(gate: GateCard): boolean {
  return gate.sort !== "warning" && gate.sort !== "caution";
}

type Head = Pick<StepCard, "number" | "siteName" | "taskName" | "contingency" | "state">;

function headOf({ number, siteName, taskName, contingency, state }: StepCard): Head {
  return { number, siteName, taskName, contingency, state };
}

function StepHead({ card }: { readonly card: Head }) {
  return (
    <div class="step-panel__head">
      <h2 tabIndex={-1} data-focus-home>
        <span class="unseen">Step </span>
        <span class="step-panel__number sounding">{card.number}</span>
      </h2>
      <p>
        {card.siteName === null ? "" : <strong>{card.siteName} · </strong>}
        {card.taskName}
        {card.contingency ? " (contingency)" : ""}
      </p>
      <p class="step-panel__state">{stepStateWords[card.state]}</p>
    </div>
  );
}

type Details = Pick<StepCard, "fastenersWords" | "repeatWords" | "callOut" | "waitsFor"> & {
  readonly mayAct: boolean;
};

function detailsOf({ acts, ...card }: StepCard): Details {
  const { fastenersWords, repeatWords, callOut, waitsFor } = card;
  return { fastenersWords, repeatWords, callOut, waitsFor, mayAct: acts.mayAct };
}

function StepDetails({ card }: { readonly card: Details }) {
  return (
    <>
      {card.fastenersWords === null && card.repeatWords === null ? null : (
        <div class="step-panel__details">
          {card.fastenersWords === null ? null : <p>{card.fastenersWords}</p>}
          {card.repeatWords === null ? null : <p>{card.repeatWords}</p>}
        </div>
      )}
      {card.callOut === null ? null : (
        <dl class="call-out">
          <dt class="soft">Call</dt>
          <dd>“{card.callOut.challenge}”</dd>
          <dt class="soft">Answer</dt>
          <dd>“{card.callOut.response}”</dd>
        </dl>
      )}
      {/* Whoever may act reads it beside the act. */}
      {card.waitsFor.length === 0 || card.mayAct ? null : (
        <ul class="not-clear" aria-label="In the way">
          {card.waitsFor.map((words) => (
            <li key={words}>{words}</li>
          ))}
        </ul>
      )}
    </>
  );
}

type ChoiceProps = Pick<StepCard, "step" | "lane"> & {
  readonly mayAct: boolean;
  readonly choice: ChoiceCard;
  readonly tap: Tap;
};

function Choice({ step, lane, mayAct, choice, tap }: ChoiceProps) {
  return (
    <div class="gate gate--plain" role="group" aria-label={choice.question}>
      <p class="gate__label">{choice.question}</p>
      <div class="taps">
        {choice.branches.map((branch) => (
          <TapButton
            key={branch.branch}
            wide
            tone={branch.branch === choice.chosen ? "chosen" : "plain"}
            pressed={branch.branch === choice.chosen}
            whyNot={mayAct ? null : "This device only looks on."}
            onTap={() => tap({ kind: "branch.chosen", step, branch: branch.branch }, lane)}
          >
            <span>
              {branch.label}
              {branch.bringsTask === null ? null : (
                <span class="small soft"> → {branch.bringsTask}</span>
              )}
            </span>
          </TapButton>
        ))}
      </div>
    </div>
  );
}

/** The step's time on a staff: the range between two marks, the likely time, the time so far. */
function TimeStaff({ time }: { readonly time: StepTime }) {
  const worked = time.workedSeconds ?? 0;
  const whole = Math.max(time.maxSeconds * 1.25, worked, 1);
  const percent = (seconds: number) => `${Math.min(100, (seconds / whole) * 100).toFixed(2)}%`;
  return (
    <div class={`staff${time.pace === "late" ? " staff--late" : ""}`}>
      <div class="staff__gauge" aria-hidden="true">
        <span class="staff__water" style={{ width: percent(worked) }} />
        <span
          class="staff__range"
          style={{
            left: percent(time.minSeconds),
            width: percent(time.maxSeconds - time.minSeconds),
          }}
        />
        <span class="staff__likely" style={{ left: percent(time.likelySeconds) }} />
      </div>
      <p class="staff__words">
        <span>
          {time.workedSeconds === null ? "Not started" : `${formatSpan(worked)} on the step`}
        </span>
        <span class="soft">planned {time.rangeWords}</span>
        {time.heldSeconds < 1 ? null : <span>{formatSpan(time.heldSeconds)} on hold, apart</span>}
        {time.pace === "late" ? <strong>Over the planned range</strong> : null}
      </p>
    </div>
  );
}
