// The ladder's text twin: the same as the drawing, as a list that reads from the start to the end.

import type { ProcedureIndex } from "../procedure/procedure-index.ts";
import { formatPet, formatSpan } from "./format-time.ts";
import { laneNames } from "./ladder-view.ts";
import type { LadderView, Stretch, StretchLayer } from "./ladder-view.ts";
import { positionName, stepStateWords } from "./words.ts";

/** One line; `key` tells lines apart. */
export type LadderLine = { readonly key: string; readonly text: string };

/** Every stretch, rung and hold of the ladder in words, by time. */
export function ladderList(index: ProcedureIndex, ladder: LadderView): readonly LadderLine[] {
  const planned = new Map(
    ladder.stretches.filter((s) => s.layer === "planned").map((s) => [s.step, s] as const),
  );
  const inRun = new Set(ladder.stretches.filter((s) => s.layer !== "planned").map((s) => s.step));
  const main = ladder.stretches.filter((s) => s.layer !== "planned" || !inRun.has(s.step));
  const layers = new Set(main.map((stretch) => stretch.layer));
  return [
    ...main.map((stretch) => ({
      atSeconds: stretch.fromSeconds,
      key: `${stretch.layer} ${stretch.step}`,
      text: stretchWords(index, stretch, planned.get(stretch.step)),
    })),
    ...ladder.rungs
      .filter((rung) => rung.layer !== "planned" || layers.has("planned"))
      .map((rung) => ({
        atSeconds: Math.max(...rung.ends.map((end) => end.seconds)),
        key: `${rung.layer} ${rung.meet}`,
        text: `${layerWords[rung.layer]}: ${laneNames(
          index,
          rung.ends.map((end) => end.lane),
        )} meet: ${rung.name}.`,
      })),
    ...ladder.holds.map((hold) => ({
      atSeconds: hold.fromSeconds,
      key: hold.hold,
      text: holdWords(index, hold),
    })),
  ]
    .toSorted((a, b) => a.atSeconds - b.atSeconds)
    .map(({ atSeconds, key, text }) => ({ key, text: `${formatPet(atSeconds)} ${text}` }));
}

const layerWords: Readonly<Record<StretchLayer, string>> = {
  planned: "Planned",
  "as-run": "As run",
  coming: "Expected",
};

function stretchWords(
  index: ProcedureIndex,
  stretch: Stretch,
  planned: Stretch | undefined,
): string {
  const lasts = formatSpan(stretch.toSeconds - stretch.fromSeconds);
  const parts = [
    `${positionName(index, stretch.lane)} step ${stretch.number}: ${stretch.text}`,
    `${layerWords[stretch.layer]}, ${lasts}.`,
  ];
  if (stretch.state !== null && stretch.layer !== "planned") {
    parts.push(`${stepStateWords[stretch.state]}.`);
  }
  if (planned !== undefined && stretch.layer !== "planned") {
    const planLasts = formatSpan(planned.toSeconds - planned.fromSeconds);
    parts.push(`Planned at ${formatPet(planned.fromSeconds)}, ${planLasts}.`);
  }
  const shut = stretch.gates.filter((gate) => !gate.isOpen).length;
  if (shut > 0 && stretch.layer === "coming") {
    parts.push(shut === 1 ? "One gate is shut." : `${shut} gates are shut.`);
  }
  return parts.join(" ");
}

function holdWords(index: ProcedureIndex, hold: LadderView["holds"][number]): string {
  const lasts = formatSpan(hold.toSeconds - hold.fromSeconds);
  const sort = hold.isSimulated ? "SIMULATED hold" : "Hold";
  return `${sort} of ${laneNames(index, hold.lanes)}, ${lasts}: ${hold.reason}`;
}
