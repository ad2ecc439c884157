// A lane at a glance: what is being done, since when, what is in the way, what comes next.

import type { ComponentChildren } from "preact";
import { formatPet, formatSpan, formatSpanRange } from "../../machines/views/format-time.ts";
import type { GlanceStep, LaneGlance } from "../../machines/views/lane-glance.ts";
import { stepStateWords } from "../../machines/views/words.ts";
import { LaneMark } from "./lane-mark.tsx";
import "./lane-strip.css";

/** What a strip shows; `children` stand at its end. */
export type LaneStripProps = {
  readonly lane: LaneGlance;
  readonly children?: ComponentChildren;
};

/** One lane; stands in a list. */
export function LaneStrip({ lane, children }: LaneStripProps) {
  const { current, next } = lane;
  return (
    <li
      class={`lane-strip lane-${lane.position.marking.colour}`}
      data-lane={lane.position.id}
      data-held={lane.isHeld}
    >
      <div class="lane-strip__head">
        <LaneMark position={lane.position} />
        {lane.isHeld ? <strong class="lane-strip__hold">ON HOLD</strong> : null}
        <span>
          {lane.finishedCount} of {lane.inPlayCount} steps
        </span>
        <span>{lagWords(lane.lagSeconds)}</span>
      </div>
      <Progress done={lane.finishedCount} of={lane.inPlayCount} />
      {current === null ? <p>Nothing is left to do.</p> : <CurrentStep step={current} />}
      {next === null ? null : (
        <p class="soft">
          Next: <span class="sounding">{next.number}</span> {next.text}
        </p>
      )}
      {children}
    </li>
  );
}

/** How far behind or ahead of the plan, rounded to minutes and said as an estimate. */
export function lagWords(lagSeconds: number | null): string {
  if (lagSeconds === null) return "no planned time";
  const minutes = Math.round(Math.abs(lagSeconds) / 60);
  if (minutes === 0) return "on plan";
  return `about ${formatSpan(minutes * 60)} ${lagSeconds > 0 ? "behind" : "ahead of"} plan`;
}

function Progress({ done, of }: { readonly done: number; readonly of: number }) {
  const percent = of === 0 ? 0 : (done / of) * 100;
  return (
    <div class="lane-strip__gauge" aria-hidden="true">
      <span style={{ width: `${percent.toFixed(1)}%` }} />
    </div>
  );
}

function CurrentStep({ step }: { readonly step: GlanceStep }) {
  return (
    <div class="lane-strip__now">
      <p class="lane-strip__text">
        <span class="sounding">{step.number}</span> {step.text}
      </p>
      <p>
        <strong>{stepStateWords[step.state]}</strong>
        {step.siteName === null ? "" : ` · ${step.siteName}`} · {timeWords(step)}
      </p>
      {step.blocks.length === 0 ? null : <p>In the way: {step.blocks.join("; ")}</p>}
    </div>
  );
}

function timeWords(step: GlanceStep): string {
  const { minSeconds, maxSeconds } = step.duration;
  const planned = `planned ${formatSpanRange(minSeconds, maxSeconds)}`;
  if (step.workedSeconds === null) {
    const starts = step.starts === null ? "" : `starts ${petRangeWords(step.starts)} · `;
    return `${starts}${planned}`;
  }
  const left = maxSeconds - step.workedSeconds;
  const over = left < 0 ? ` · over by ${formatSpan(-left)}` : ` · ${remainingWords(step)}`;
  const held = step.heldSeconds < 1 ? "" : ` · ${formatSpan(step.heldSeconds)} on hold, apart`;
  return `${formatSpan(step.workedSeconds)} on the step · ${planned}${over}${held}`;
}

function remainingWords(step: GlanceStep): string {
  const worked = step.workedSeconds ?? 0;
  const least = Math.max(0, step.duration.minSeconds - worked);
  return `${formatSpanRange(least, Math.max(0, step.duration.maxSeconds - worked))} left`;
}

/** A range of PET: "between 0:42:00 and 0:58:00"; one time where both ends are within a minute. */
export function petRangeWords(range: {
  readonly fromSeconds: number;
  readonly toSeconds: number;
}): string {
  const [from, to] = [range.fromSeconds, range.toSeconds].map((seconds) =>
    formatPet(Math.round(seconds / 60) * 60).replace(/:00$/, ""),
  );
  return from === to ? `about ${from}` : `between ${from} and ${to}`;
}
