// One lane, planned against as run: a table with a row a step, for reading and for print.

import type { DebriefLane, DebriefStep } from "../../machines/views/debrief-steps.ts";
import { formatPet, formatSpan, formatSpanRange } from "../../machines/views/format-time.ts";
import { stepStateWords } from "../../machines/views/words.ts";
import { LaneMark } from "../parts/lane-mark.tsx";

/** The table of a lane. */
export function DebriefLaneTable({ lane }: { readonly lane: DebriefLane }) {
  const done = lane.steps.filter((step) => step.state === "done").length;
  return (
    <details class="debrief__lane" open>
      <summary>
        <LaneMark position={lane.position} />
        <span>
          {done} of {lane.steps.length} done
        </span>
      </summary>
      {/* A table that scrolls must be reachable by keyboard. */}
      <div
        class="debrief__scroll"
        tabIndex={0}
        role="region"
        aria-label={`Steps of ${lane.position.name}`}
      >
        <table>
          <thead>
            <tr>
              <th scope="col">Step</th>
              <th scope="col">Planned</th>
              <th scope="col">As run</th>
              <th scope="col">Worked</th>
              <th scope="col">Held</th>
              <th scope="col">Against the plan</th>
            </tr>
          </thead>
          <tbody>
            {lane.steps.map((step) => (
              <StepRow key={step.step} step={step} />
            ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}

function StepRow({ step }: { readonly step: DebriefStep }) {
  const { minSeconds, maxSeconds } = step.duration;
  return (
    <tr data-step={step.step} data-verdict={step.verdict?.is}>
      <th scope="row">
        <span class="sounding">{step.number}</span> {step.text}
      </th>
      <td>
        {petOrDash(step.plannedStartSeconds)}
        <br />
        {formatSpanRange(minSeconds, maxSeconds)}
      </td>
      <td>
        {petOrDash(step.startSeconds)}
        {step.endSeconds === null ? null : (
          <>
            <br />
            to {petOrDash(step.endSeconds)}
          </>
        )}
      </td>
      <td>{step.workedSeconds === null ? "–" : formatSpan(step.workedSeconds)}</td>
      <td>{step.heldSeconds < 1 ? "–" : formatSpan(step.heldSeconds)}</td>
      <td>{verdictWords(step)}</td>
    </tr>
  );
}

function petOrDash(seconds: number | null): string {
  return seconds === null ? "–" : formatPet(seconds);
}

function verdictWords({ verdict, state, reason }: DebriefStep): string {
  if (verdict === null) {
    return reason === null ? stepStateWords[state] : `${stepStateWords[state]}: ${reason}`;
  }
  if (verdict.is === "within") return "Within the range";
  return `${verdict.is === "longer" ? "Longer" : "Shorter"} by ${formatSpan(verdict.bySeconds)}`;
}
