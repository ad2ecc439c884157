// What is tapped on a step: start, done, and the three other ways in which a step ends.
//
// [step-acts 1] An act that would go against something is a press-and-hold, under a list of what it
//   goes against and the word that it is recorded as a variance.
// [step-acts 2] For 400 ms after a step has moved, its main button takes nothing, so that one wet
//   bounce is not two acts.

import { useEffect, useState } from "preact/hooks";
import type { StepCard } from "../../machines/views/step-card.ts";
import { HoldToDoButton } from "./hold-to-do-button.tsx";
import { kept } from "./kept.tsx";
import { ReasonDialog } from "./reason-dialog.tsx";
import { TapButton } from "./tap-button.tsx";
import type { Tap } from "./use-tap.ts";
import "./step-panel.css";

/** What the acts show of a step. */
export type ActsCard = Pick<StepCard, "step" | "lane" | "number" | "acts">;

/** What the acts are for and where taps go. */
export type StepActsProps = {
  readonly card: ActsCard;
  readonly tap: Tap;
  /** Named on the buttons where several lanes stand on one screen. */
  readonly laneName?: string;
};

/** The main act of a step, and the others beside it. */
export function StepActs({ card, ...others }: StepActsProps) {
  const { step, lane, number, acts } = card;
  return <KeptActs card={{ step, lane, number, acts }} {...others} />;
}

const KeptActs = kept(Acts);

function Acts({ card, tap, laneName }: StepActsProps) {
  if (!card.acts.mayAct) return <p class="soft">This device only looks on here.</p>;
  if (card.acts.next === "none") return null;
  return (
    <>
      <MainAct card={card} tap={tap} laneName={laneName ?? ""} />
      {laneName === undefined ? (
        <OtherEnds card={card} tap={tap} />
      ) : (
        <details>
          <summary class="tap">Other ends of {laneName}’s step</summary>
          <OtherEnds card={card} tap={tap} />
        </details>
      )}
    </>
  );
}

type MainActProps = { readonly card: ActsCard; readonly tap: Tap; readonly laneName: string };

function MainAct({ card, tap, laneName }: MainActProps) {
  const settling = useSettling(`${card.step} ${card.acts.next}`);
  const { next, against } = card.acts;
  const word = next === "start" ? "Start" : "Done";
  const name = laneName === "" ? word : `${laneName}: ${word}`;
  const act = () => {
    if (settling) return;
    tap({ kind: next === "start" ? "step.started" : "step.done", step: card.step }, card.lane);
  };
  if (against.length === 0) {
    return (
      <div class="taps">
        <TapButton tone="main" wide whyNot={settling ? "A moment." : null} onTap={act}>
          {name}
        </TapButton>
      </div>
    );
  }
  return (
    <div class="not-clear">
      <div>
        <h3>{next === "start" ? "Not clear to start" : "Not clear to call done"}</h3>
        <ul>
          {against.map((words) => (
            <li key={words}>{capital(words)}</li>
          ))}
        </ul>
      </div>
      <HoldToDoButton tone="against" onDone={act}>
        {name} anyway
      </HoldToDoButton>
      <p class="small soft">Going on anyway is recorded as a variance.</p>
    </div>
  );
}

type End = "partly-done" | "deferred" | "not-performed";

const ends: readonly { readonly end: End; readonly label: string; readonly says: string }[] = [
  { end: "partly-done", label: "Partly done", says: "Say what remains." },
  { end: "deferred", label: "Defer", says: "The step is left for later." },
  { end: "not-performed", label: "Not performed", says: "The step is left out of this run." },
];

const suggestions: Readonly<Record<End, readonly string[]>> = {
  "partly-done": ["Rest when the other lane is clear", "Count not reached"],
  deferred: ["Out of time", "Item not at hand", "Director's word"],
  "not-performed": ["Not needed", "Out of time", "Hardware will not move", "Director's word"],
};

function OtherEnds({ card, tap }: { readonly card: ActsCard; readonly tap: Tap }) {
  const [asked, setAsked] = useState<End | null>(null);
  const chosen = ends.find((one) => one.end === asked);
  return (
    <div class="taps" role="group" aria-label="Other ends of the step">
      {ends
        .filter((one) => one.end !== "partly-done" || card.acts.next === "finish")
        .map((one) => (
          <TapButton key={one.end} onTap={() => setAsked(one.end)}>
            {one.label}…
          </TapButton>
        ))}
      {chosen === undefined ? null : (
        <ReasonDialog
          title={`${chosen.label}: step ${card.number}`}
          says={chosen.says}
          label={chosen.end === "partly-done" ? "What remains" : "Reason"}
          suggestions={suggestions[chosen.end]}
          act={chosen.label}
          onReason={(reason) => {
            setAsked(null);
            tap(endBody(chosen.end, card, reason), card.lane);
          }}
          onClose={() => setAsked(null)}
        />
      )}
    </div>
  );
}

function endBody(end: End, card: ActsCard, reason: string): Parameters<Tap>[0] {
  const { step } = card;
  if (end === "partly-done") return { kind: "step.partly-done", step, remains: reason };
  return { kind: end === "deferred" ? "step.deferred" : "step.not-performed", step, reason };
}

function capital(words: string): string {
  return words.slice(0, 1).toUpperCase() + words.slice(1);
}

function useSettling(key: string): boolean {
  const [settled, setSettled] = useState(key);
  useEffect(() => {
    const timer = setTimeout(() => setSettled(key), 400);
    return () => clearTimeout(timer);
  }, [key]);
  return settled !== key;
}
