// Recurring checks: what is due for whom, and the readings entered one by one.

import { useState } from "preact/hooks";
import type { ReadingId } from "../../machines/procedure/ids.ts";
import type { CheckDue } from "../../machines/views/checks-due.ts";
import { formatSpan } from "../../machines/views/format-time.ts";
import { isWithin, limitsWords } from "../../machines/views/gate-card.ts";
import { mayActFor } from "../../machines/views/may-act.ts";
import { positionName } from "../../machines/views/words.ts";
import type { LiveRun } from "../live/live-run.ts";
import { NumberPad } from "../parts/number-pad.tsx";
import { Sheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import type { Tap } from "../parts/use-tap.ts";

/** Which checks, and where readings go. */
export type ChecksProps = {
  readonly live: LiveRun;
  readonly checks: readonly CheckDue[];
  readonly tap: Tap;
};

/** The list of checks, the most urgent first. */
export function Checks({ live, checks, tap }: ChecksProps) {
  const [asked, setAsked] = useState<CheckDue | null>(null);
  return (
    <section class="paper pair__section" aria-labelledby="checks-title">
      <h2 id="checks-title">Recurring checks</h2>
      {checks.length === 0 ? <p class="soft">None is running.</p> : null}
      <ul>
        {checks.map((due) => (
          <li
            key={`${due.check.id} ${due.position}`}
            class={`check${due.dueInSeconds < 0 ? " check--overdue" : ""}`}
          >
            <p>
              <strong>{positionName(live.index, due.position)}</strong> {due.check.name}
            </p>
            <p class="check__due">{dueWords(due.dueInSeconds)}</p>
            {mayActFor(live.me, due.position) ? (
              <TapButton
                name={`Record ${due.check.name} of ${positionName(live.index, due.position)}`}
                onTap={() => setAsked(due)}
              >
                Record
              </TapButton>
            ) : null}
          </li>
        ))}
      </ul>
      {asked === null ? null : (
        <CheckSheet
          due={asked}
          who={positionName(live.index, asked.position)}
          tap={tap}
          onClose={() => setAsked(null)}
        />
      )}
    </section>
  );
}

function dueWords(seconds: number): string {
  if (seconds < -1) return `Overdue by ${formatSpan(-seconds)}`;
  return seconds < 60 ? "Due now" : `Due in ${formatSpan(seconds)}`;
}

type CheckSheetProps = {
  readonly due: CheckDue;
  readonly who: string;
  readonly tap: Tap;
  readonly onClose: () => void;
};

// One reading after the other; the entry is made once all are there.
function CheckSheet({ due, who, tap, onClose }: CheckSheetProps) {
  const [taken, setTaken] = useState<Readonly<Record<ReadingId, number>>>({});
  const { check, position } = due;
  const next = check.readings.find((reading) => taken[reading.id] === undefined);
  const keep = () => {
    tap({ kind: "check.recorded", check: check.id, readings: taken }, position);
    onClose();
  };
  return (
    <Sheet title={`${check.name}: ${who}`} onClose={onClose}>
      {check.readings.map((reading) => {
        const value = taken[reading.id];
        if (value === undefined) return null;
        return (
          <p key={reading.id}>
            {reading.label}:{" "}
            <strong class="sounding">
              {value} {reading.unit === "1" ? "" : reading.unit}
            </strong>{" "}
            {isWithin(value, reading) ? "" : "outside limits"}
          </p>
        );
      })}
      {next === undefined ? (
        <div class="taps">
          <TapButton tone="main" wide onTap={keep}>
            Record the check
          </TapButton>
          <TapButton onTap={() => setTaken({})}>Again from the start</TapButton>
        </div>
      ) : (
        <NumberPad
          key={next.id}
          label={next.label}
          unit={next.unit}
          limits={limitsWords(next)}
          judge={(value) =>
            isWithin(value, next) ? null : "Outside limits. It is recorded as a variance."
          }
          act="Next"
          onNumber={(value) => setTaken({ ...taken, [next.id]: value })}
        />
      )}
    </Sheet>
  );
}
