// Live simulated cases that a lane is shown, and its answer to them.

import { useState } from "preact/hooks";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { InjectLine } from "../../machines/views/lane-view.ts";
import { ReasonDialog } from "./reason-dialog.tsx";
import { SimulatedCard } from "./simulated-card.tsx";
import { TapButton } from "./tap-button.tsx";
import type { Tap } from "./use-tap.ts";

/** Which cases, and for which lane an answer is entered. */
export type InjectCardsProps = {
  readonly injects: readonly InjectLine[];
  readonly lane: PositionId | null;
  readonly mayAnswer: boolean;
  readonly tap: Tap;
};

/** The cards; nothing where no case is live. */
export function InjectCards({ injects, lane, mayAnswer, tap }: InjectCardsProps) {
  const [answered, setAnswered] = useState<InjectLine | null>(null);
  return (
    <>
      {injects.map((inject) => (
        <SimulatedCard key={inject.inject} title={inject.name} card={inject.card}>
          {inject.responses.map((response) => (
            <p key={response}>Response: {response}</p>
          ))}
          {mayAnswer ? (
            <div class="taps">
              <TapButton onTap={() => setAnswered(inject)}>Say what you do…</TapButton>
            </div>
          ) : null}
        </SimulatedCard>
      ))}
      {answered === null ? null : (
        <ReasonDialog
          title={`SIMULATED: ${answered.name}`}
          label="What you do"
          suggestions={["Stopped and called it", "Checking my partner", "Heading back"]}
          act="Enter response"
          onReason={(text) => {
            tap({ kind: "inject.responded", inject: answered.inject, text }, lane);
            setAnswered(null);
          }}
          onClose={() => setAnswered(null)}
        />
      )}
    </>
  );
}
