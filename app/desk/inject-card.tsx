// One case: what the crew is shown, how to play it, what is expected, what came, and the grade.

import { useState } from "preact/hooks";
import { formatSpan } from "../../machines/views/format-time.ts";
import type { ExpectedView, InjectView } from "../../machines/views/inject-view.ts";
import { gradeWords, injectStateWords } from "../../machines/views/words.ts";
import type { LiveRun } from "../live/live-run.ts";
import { TextField } from "../parts/field.tsx";
import { HoldToDoButton } from "../parts/hold-to-do-button.tsx";
import { SimulatedCard } from "../parts/simulated-card.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import type { Tap } from "../parts/use-tap.ts";
import { clearInject, fireInject, standingHolds } from "./fire-inject.ts";

/** What a card needs. */
export type InjectCardProps = {
  readonly live: LiveRun;
  readonly inject: InjectView;
  readonly tap: Tap;
};

/** A case; open from the start while it is live or due. */
export function InjectCard({ live, inject, tap }: InjectCardProps) {
  const isLive = inject.state === "live" || inject.state === "responded";
  return (
    <li data-inject={inject.inject} data-state={inject.state}>
      <details class={`inject${isLive ? " inject--live" : ""}`} open={isLive || inject.isDue}>
        <summary>
          <strong>{inject.name}</strong>
          <span>{stateWords(inject)}</span>
        </summary>
        <div class="inject__body">
          <SimulatedCard
            title={`Shown to ${inject.shownToWords === "" ? "nobody" : inject.shownToWords}`}
            card={inject.card}
          />
          {inject.playing === null ? null : (
            <p>
              <strong>Playing:</strong> {inject.playing}
            </p>
          )}
          <p>
            {inject.holdsWords}.{inject.trigger === null ? "" : ` Meant ${inject.trigger}.`}
          </p>
          {inject.state === "scripted" || inject.state === "armed" ? (
            <Fire live={live} inject={inject} />
          ) : (
            <Played live={live} inject={inject} tap={tap} isLive={isLive} />
          )}
        </div>
      </details>
    </li>
  );
}

function stateWords(inject: InjectView): string {
  if (inject.isDue) return "DUE NOW";
  const grade = inject.grade === null ? "" : ` · ${gradeWords[inject.grade]}`;
  if (inject.liveSeconds !== null) {
    return `${injectStateWords[inject.state]} · ${formatSpan(inject.liveSeconds)}${grade}`;
  }
  return inject.trigger ?? injectStateWords[inject.state];
}

function Fire({ live, inject }: Pick<InjectCardProps, "live" | "inject">) {
  return (
    <>
      {inject.expected.length === 0 ? null : (
        <>
          <p>
            <strong>Expected:</strong>
          </p>
          <ol class="inject__expected">
            {inject.expected.map((expected) => (
              <li key={expected.text}>{expectedWords(expected)}</li>
            ))}
          </ol>
        </>
      )}
      <div class="taps">
        <HoldToDoButton tone="main" wide onDone={() => void fireInject(live, inject)}>
          Put live<span class="unseen">: {inject.name}</span>
        </HoldToDoButton>
      </div>
    </>
  );
}

function expectedWords(expected: ExpectedView): string {
  const within =
    expected.withinSeconds === null ? "" : ` (within ${formatSpan(expected.withinSeconds)})`;
  return `${expected.by}: ${expected.text}${within}`;
}

type PlayedProps = InjectCardProps & { readonly isLive: boolean };

function Played({ live, inject, tap, isLive }: PlayedProps) {
  const [text, setText] = useState("");
  const given = text.trim();
  const seen = new Set(inject.responses.map((response) => response.text));
  return (
    <>
      {inject.expected.length === 0 ? null : (
        <ul class="inject__expected" aria-label="Expected responses">
          {inject.expected.map((expected) => (
            <Expected
              key={expected.text}
              expected={expected}
              isSeen={seen.has(expected.text)}
              liveSeconds={isLive ? inject.liveSeconds : null}
              onSeen={() =>
                tap(
                  { kind: "inject.responded", inject: inject.inject, text: expected.text },
                  expected.position,
                )
              }
            />
          ))}
        </ul>
      )}
      <Responses inject={inject} />
      {isLive ? (
        <>
          <TextField label="Another response, in words" value={text} onValue={setText} />
          <div class="taps">
            <TapButton
              wide
              whyNot={given === "" ? "Type what they did first." : null}
              onTap={() => {
                setText("");
                tap({ kind: "inject.responded", inject: inject.inject, text: given }, null);
              }}
            >
              Note the response
            </TapButton>
          </div>
        </>
      ) : null}
      <Grade key={inject.remark} inject={inject} tap={tap} />
      {isLive ? <Clear live={live} inject={inject} /> : null}
    </>
  );
}

type ExpectedProps = {
  readonly expected: ExpectedView;
  readonly isSeen: boolean;
  /** Null: the case is over. */
  readonly liveSeconds: number | null;
  readonly onSeen: () => void;
};

function Expected({ expected, isSeen, liveSeconds, onSeen }: ExpectedProps) {
  const { withinSeconds } = expected;
  const isLate =
    !isSeen && withinSeconds !== null && liveSeconds !== null && liveSeconds > withinSeconds;
  return (
    <li class="inject__response">
      <span>
        {isSeen ? "✓ " : ""}
        {expectedWords(expected)}
        {isLate ? <strong> Over time.</strong> : null}
      </span>
      {isSeen || liveSeconds === null ? null : (
        <TapButton name={`Seen: ${expected.by}: ${expected.text}`} onTap={onSeen}>
          Seen
        </TapButton>
      )}
    </li>
  );
}

function Responses({ inject }: { readonly inject: InjectView }) {
  if (inject.responses.length === 0) return <p class="soft">No response is noted yet.</p>;
  return (
    <ul class="inject__noted" aria-label="Responses noted">
      {inject.responses.map((response, place) => (
        <li key={place}>
          After {formatSpan(response.afterSeconds)}: {response.text}{" "}
          <span class="soft">({response.from})</span>
        </li>
      ))}
    </ul>
  );
}

const grades = ["met", "partly-met", "not-met"] as const;

function Grade({ inject, tap }: Pick<InjectCardProps, "inject" | "tap">) {
  const [remark, setRemark] = useState(inject.remark);
  return (
    <div class="inject__grade" role="group" aria-label="Grade of the response">
      <TextField label="Remark" value={remark} onValue={setRemark} />
      <div class="taps">
        {grades.map((grade) => (
          <TapButton
            key={grade}
            tone={inject.grade === grade ? "chosen" : "plain"}
            pressed={inject.grade === grade}
            onTap={() =>
              tap(
                { kind: "inject.graded", inject: inject.inject, grade, remark: remark.trim() },
                null,
              )
            }
          >
            {gradeWords[grade]}
          </TapButton>
        ))}
      </div>
    </div>
  );
}

function Clear({ live, inject }: Pick<InjectCardProps, "live" | "inject">) {
  const holds = standingHolds(live, inject.inject).length > 0;
  return (
    <div class="taps">
      <HoldToDoButton wide onDone={() => void clearInject(live, inject.inject)}>
        {holds ? "Clear the case, release its hold" : "Clear the case"}
        <span class="unseen">: {inject.name}</span>
      </HoldToDoButton>
    </div>
  );
}
