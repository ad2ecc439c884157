// The ladder's drawing: time runs down, lanes are the rails, meets are the rungs.
// Only what is in sight is drawn, so that a long run stays as quick as a short one.

import { useId } from "preact/hooks";
import { formatPetMinutes } from "../../machines/views/format-time.ts";
import type { LadderView, Stretch } from "../../machines/views/ladder-view.ts";
import { downAt, headHeight, isInSight, layOutLadder, timesWidth } from "./ladder-ground.ts";
import type { LadderGround } from "./ladder-ground.ts";
import { HoldMark, LanePattern, NowMark, Rail, RungMark, StretchMark } from "./ladder-marks.tsx";
import { tickSeconds } from "./ladder-scale.ts";
import type { Extent } from "./ladder-scale.ts";

/** What the drawing shows. */
export type LadderDrawingProps = {
  readonly ladder: LadderView;
  readonly part: Extent;
  readonly width: number;
  readonly height: number;
  readonly beside: boolean;
  readonly chosen: Stretch | null;
  readonly onChoose: (stretch: Stretch) => void;
};

/** The SVG. For eyes only: the list beside it says the same in words. */
export function LadderDrawing(props: LadderDrawingProps) {
  const { ladder, width, height, part, beside } = props;
  // Preact's ids hold no character that a reference in SVG could not.
  const ground = layOutLadder(ladder, { width, height, part }, beside, useId());
  const markings = new Map(ladder.lanes.map(({ lane, marking }) => [lane, marking]));
  const stretches = ladder.stretches.filter(
    (stretch) => isInSight(ground, stretch) && isWanted(ladder, stretch, beside),
  );
  return (
    <svg
      class="ladder__drawing"
      viewBox={`0 0 ${width} ${height}`}
      width={width}
      height={height}
      aria-hidden="true"
      focusable="false"
    >
      <defs>
        {ladder.lanes.map((lane) => (
          <LanePattern key={lane.lane} lane={lane} id={`${ground.idPrefix}-${lane.lane}`} />
        ))}
        <HoldPattern id={`${ground.idPrefix}-hold`} />
        <clipPath id={`${ground.idPrefix}-body`}>
          <rect x="0" y={headHeight} width={width} height={Math.max(0, height - headHeight)} />
        </clipPath>
      </defs>
      {ladder.lanes.map((lane) => (
        <Rail key={lane.lane} ground={ground} lane={lane} />
      ))}
      <g clip-path={`url(#${ground.idPrefix}-body)`}>
        <Ticks ground={ground} />
        <Rungs ladder={ladder} ground={ground} draws="line" />
        {stretches.map((stretch) => {
          const marking = markings.get(stretch.lane);
          if (marking === undefined) return null;
          return (
            <StretchMark
              key={`${stretch.layer} ${stretch.step}`}
              ground={ground}
              stretch={stretch}
              marking={marking}
              isChosen={stretch.step === props.chosen?.step}
              onChoose={props.onChoose}
            />
          );
        })}
        {ladder.holds
          .filter((hold) => isInSight(ground, hold))
          .map((hold) => (
            <HoldMark key={hold.hold} ground={ground} hold={hold} />
          ))}
        <Rungs ladder={ladder} ground={ground} draws="ends" />
        {ladder.nowSeconds === null ? null : (
          <NowMark ground={ground} seconds={ladder.nowSeconds} />
        )}
      </g>
    </svg>
  );
}

// One rail shows the run; the plan is on it only while there is no run, and else beside it.
function isWanted(ladder: LadderView, stretch: Stretch, beside: boolean): boolean {
  return beside || stretch.layer !== "planned" || !hasRun(ladder);
}

function hasRun(ladder: LadderView): boolean {
  return ladder.stretches.some((stretch) => stretch.layer !== "planned");
}

type RungsProps = {
  readonly ladder: LadderView;
  readonly ground: LadderGround;
  readonly draws: "line" | "ends";
};

function Rungs({ ladder, ground, draws }: RungsProps) {
  const wanted = ladder.rungs.filter(
    (rung) => ground.beside || rung.layer !== "planned" || !hasRun(ladder),
  );
  return (
    <>
      {wanted
        .map((rung) => ({ rung, downs: rung.ends.map((end) => end.seconds) }))
        .filter(({ downs }) =>
          isInSight(ground, { fromSeconds: Math.min(...downs), toSeconds: Math.max(...downs) }),
        )
        .map(({ rung }) => (
          <RungMark key={`${rung.layer} ${rung.meet}`} ground={ground} rung={rung} draws={draws} />
        ))}
    </>
  );
}

function Ticks({ ground }: { readonly ground: LadderGround }) {
  const ticks = tickSeconds(ground.part, ground.height - headHeight, 56);
  return (
    <g class="ladder__ticks">
      {ticks.map((seconds) => {
        const down = downAt(ground, seconds);
        return (
          <g key={seconds}>
            <line x1={timesWidth - 8} x2={ground.width} y1={down} y2={down} />
            <text x={timesWidth - 12} y={Math.max(down + 5, headHeight + 14)} text-anchor="end">
              {formatPetMinutes(seconds)}
            </text>
          </g>
        );
      })}
    </g>
  );
}

function HoldPattern({ id }: { readonly id: string }) {
  return (
    <pattern id={id} width="9" height="9" patternUnits="userSpaceOnUse">
      <path class="ladder__hatch" d="M-2 2l4 -4M0 9l9 -9M7 11l4 -4" />
    </pattern>
  );
}
