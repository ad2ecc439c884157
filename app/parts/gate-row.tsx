// One gate of a step: what it is, how it stands, and the act that is open to this device.

import { useState } from "preact/hooks";
import type { StepId } from "../../machines/procedure/ids.ts";
import type { GateCard } from "../../machines/views/gate-card.ts";
import { isWithin } from "../../machines/views/gate-card.ts";
import "./gate-row.css";
import { HazardStatement } from "./hazard.tsx";
import { NumberPad } from "./number-pad.tsx";
import { ReasonDialog } from "./reason-dialog.tsx";
import { Sheet } from "./sheet.tsx";
import { Stepper } from "./stepper.tsx";
import { TapButton } from "./tap-button.tsx";
import type { Tap } from "./use-tap.ts";

/** What a gate row shows and where its taps go. */
export type GateRowProps = {
  readonly step: StepId;
  readonly card: GateCard;
  /** Names of positions, for "as IV"; the lane's own needs none. */
  readonly nameOf: (position: string) => string;
  readonly lane: string;
  readonly tap: Tap;
};

/** A gate with its act. */
export function GateRow(props: GateRowProps) {
  const { card } = props;
  const isHazard = card.sort === "caution" || card.sort === "warning";
  const isOpen = card.state === "open" || card.state === "overridden";
  const look = `gate${isHazard ? "" : " gate--plain"}${isOpen ? " gate--open" : ""}`;
  return (
    <div class={look} data-gate={card.gate} data-state={card.state}>
      {isHazard ? (
        <HazardStatement
          hazard={{ word: card.sort === "warning" ? "warning" : "caution", text: card.label }}
        />
      ) : (
        <p class="gate__label">{gateTitle(card)}</p>
      )}
      <div class="gate__foot">
        <p class="gate__stands">
          <span class="gate__bar" aria-hidden="true" />
          <span class="gate__words">{card.standsWords}</span>
        </p>
        <GateActs {...props} />
      </div>
    </div>
  );
}

function gateTitle(card: GateCard): string {
  if (card.sort === "go") return `GO needed: ${card.label}`;
  const when = card.before === "start" ? "Before the start" : "Before done";
  return `${when}: ${card.label}`;
}

function GateActs({ step, card, nameOf, lane, tap }: GateRowProps) {
  const { act } = card;
  const gate = { step, gate: card.gate };
  switch (act.act) {
    case "none":
      return null;
    case "acknowledge":
      return (
        <TapButton tone="main" onTap={() => tap({ kind: "gate.acknowledged", ...gate }, act.as)}>
          {card.sort === "warning" ? "Acknowledge and read back" : "Acknowledge"}
        </TapButton>
      );
    case "confirm-readback":
      return (
        <TapButton
          tone="main"
          onTap={() => tap({ kind: "gate.readback-confirmed", ...gate }, act.as)}
        >
          Confirm readback as {nameOf(act.as)}
        </TapButton>
      );
    case "give-go":
      return (
        <TapButton tone="main" onTap={() => tap({ kind: "gate.go-given", ...gate }, act.as)}>
          Give GO{act.as === lane ? "" : ` as ${nameOf(act.as)}`}
        </TapButton>
      );
    case "report-count":
      return <CountActs step={step} card={card} as={act.as} tap={tap} />;
    case "report-reading":
      return <ReadingActs step={step} card={card} as={act.as} tap={tap} />;
  }
}

type ReportProps = {
  readonly step: StepId;
  readonly card: GateCard;
  readonly as: Parameters<Tap>[1];
  readonly tap: Tap;
};

function CountActs({ step, card, as, tap }: ReportProps) {
  const reported = card.lastReport ?? 0;
  return (
    <>
      <Stepper
        key={reported}
        label={card.label}
        target={card.target ?? 0}
        reported={reported}
        onCount={(count) => tap({ kind: "gate.count-reported", step, gate: card.gate, count }, as)}
      />
      <Override step={step} card={card} as={as} tap={tap} />
    </>
  );
}

function ReadingActs({ step, card, as, tap }: ReportProps) {
  const [asking, setAsking] = useState(false);
  const { unit, limits } = card;
  return (
    <>
      <TapButton tone={card.state === "open" ? "plain" : "main"} onTap={() => setAsking(true)}>
        {card.lastReport === null ? "Enter reading" : "Enter again"}
      </TapButton>
      <Override step={step} card={card} as={as} tap={tap} />
      {asking && unit !== null ? (
        <Sheet title="Reading" onClose={() => setAsking(false)}>
          <NumberPad
            label={card.label}
            unit={unit}
            limits={card.limitsWords}
            judge={(value) =>
              limits === null || isWithin(value, limits)
                ? null
                : "Outside limits: the gate stays closed."
            }
            act="Report"
            onNumber={(value) => {
              setAsking(false);
              tap({ kind: "gate.reading-reported", step, gate: card.gate, value, unit }, as);
            }}
          />
        </Sheet>
      ) : null}
    </>
  );
}

function Override({ step, card, as, tap }: ReportProps) {
  const [asking, setAsking] = useState(false);
  if (!card.mayOverride || card.lastReport === null) return null;
  return (
    <>
      <TapButton tone="against" onTap={() => setAsking(true)}>
        Override
      </TapButton>
      {asking ? (
        <ReasonDialog
          title={`Override: ${card.label}`}
          says="The gate opens with your reason. The record keeps both."
          suggestions={["Gauge is faulty", "Seen by eye", "Director's word"]}
          act="Override"
          hold
          tone="against"
          onReason={(reason) => {
            setAsking(false);
            tap({ kind: "gate.overridden", step, gate: card.gate, reason }, as);
          }}
          onClose={() => setAsking(false)}
        />
      ) : null}
    </>
  );
}
