// A count that goes up and down by taps and is reported as one number.

import { useState } from "preact/hooks";
import { TapButton } from "./tap-button.tsx";
import "./number-pad.css";

/** What a stepper counts. */
export type StepperProps = {
  readonly label: string;
  readonly target: number;
  /** The count that was reported last; 0 before the first. */
  readonly reported: number;
  readonly onCount: (count: number) => void;
};

/** One up, one down, and report. */
export function Stepper({ label, target, reported, onCount }: StepperProps) {
  const [count, setCount] = useState(reported);
  return (
    <div class="stepper" role="group" aria-label={label}>
      <span class="stepper__key">
        <TapButton name={`${label}: one less`} onTap={() => setCount(Math.max(0, count - 1))}>
          −
        </TapButton>
      </span>
      <p class="stepper__count">
        <output class="sounding">{count}</output> <span class="soft">of {target}</span>
      </p>
      <span class="stepper__key">
        <TapButton name={`${label}: one more`} onTap={() => setCount(count + 1)}>
          +
        </TapButton>
      </span>
      <TapButton
        tone="main"
        whyNot={count === reported ? "Nothing new to report." : null}
        onTap={() => onCount(count)}
      >
        Report {count}
      </TapButton>
    </div>
  );
}
