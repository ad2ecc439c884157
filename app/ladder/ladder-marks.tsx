// The marks of the ladder: rails, stretches, gates, rungs, holds, now.

import type { Marking } from "../../machines/procedure/procedure.ts";
import { formatPetMinutes } from "../../machines/views/format-time.ts";
import type {
  GateBar,
  HoldSpan,
  LadderLane,
  Rung,
  Stretch,
} from "../../machines/views/ladder-view.ts";
import { downAt, headHeight, labelsAt, railAt, timesWidth } from "./ladder-ground.ts";
import type { LadderGround } from "./ladder-ground.ts";
import { wrapWords } from "./ladder-scale.ts";

/** The lane's pattern, as a fill. */
export function LanePattern({ lane, id }: { readonly lane: LadderLane; readonly id: string }) {
  return (
    <pattern id={id} width="8" height="8" patternUnits="userSpaceOnUse">
      <g class={`lane-${lane.marking.colour}`}>
        <rect class="ladder__ground" width="8" height="8" />
        <path class="ladder__figure" d={figures[lane.marking.pattern]} />
      </g>
    </pattern>
  );
}

const figures: Readonly<Record<Marking["pattern"], string>> = {
  solid: "M0 0h8v8h-8z",
  dashes: "M0 0h8v5h-8z",
  dots: "M4 1.4a2.6 2.6 0 1 0 .01 0z",
  bars: "M0 0h3v8h-3z",
  waves: "M0 2q2 -3 4 0t4 0v3q-2 3 -4 0t-4 0z",
};

const railDashes: Readonly<Record<Marking["pattern"], string | undefined>> = {
  solid: undefined,
  dashes: "10 5",
  dots: "2 5",
  bars: "4 3",
  waves: "9 3 2 3",
};

/** A lane's name and its thin rail from end to end: what is thin is slack. */
export function Rail({
  ground,
  lane,
}: {
  readonly ground: LadderGround;
  readonly lane: LadderLane;
}) {
  const left = ground.leftByLane.get(lane.lane) ?? 0;
  const rails = ground.beside ? [true, false] : [false];
  return (
    <g class={`lane-${lane.marking.colour}`}>
      <rect
        class="ladder__swatch"
        x={left + 4}
        y={7}
        width={28}
        height={18}
        fill={`url(#${ground.idPrefix}-${lane.lane})`}
      />
      <text class="ladder__name" x={left + 38} y={22}>
        {lane.name}
      </text>
      {rails.map((isPlan) => (
        <line
          key={String(isPlan)}
          class="ladder__rail"
          x1={railAt(ground, lane.lane, isPlan)}
          x2={railAt(ground, lane.lane, isPlan)}
          y1={headHeight}
          y2={ground.height}
          stroke-dasharray={railDashes[lane.marking.pattern]}
        />
      ))}
    </g>
  );
}

/** What a stretch needs to be drawn. */
export type StretchMarkProps = {
  readonly ground: LadderGround;
  readonly stretch: Stretch;
  readonly marking: Marking;
  readonly isChosen: boolean;
  readonly onChoose: (stretch: Stretch) => void;
};

/** A step on its rail, with its gates and, where there is room, its words. */
export function StretchMark({ ground, stretch, marking, isChosen, onChoose }: StretchMarkProps) {
  const isPlan = stretch.layer === "planned";
  const rail = railAt(ground, stretch.lane, isPlan && ground.beside);
  const top = downAt(ground, stretch.fromSeconds);
  const whole = Math.max(2, downAt(ground, stretch.toSeconds) - top);
  // A gap keeps a stretch apart from the one that follows at once.
  const height = whole > 6 ? whole - 2 : whole;
  const width = isPlan && ground.beside ? 10 : 18;
  const fill =
    stretch.layer === "as-run" || (isPlan && !ground.beside)
      ? `url(#${ground.idPrefix}-${stretch.lane})`
      : undefined;
  return (
    <g
      class={`ladder__stretch ladder__stretch--${stretch.layer} lane-${marking.colour}`}
      data-step={stretch.step}
      data-state={stretch.state}
      onClick={() => onChoose(stretch)}
    >
      <rect
        class={isChosen ? "ladder__body ladder__body--chosen" : "ladder__body"}
        x={rail - width / 2}
        y={top}
        width={width}
        height={height}
        fill={fill}
      />
      {isPlan && ground.beside ? null : (
        <>
          {height < gateRoom ? null : (
            <Gates ground={ground} gates={stretch.gates} rail={rail} ends={[top, top + height]} />
          )}
          <StretchWords ground={ground} stretch={stretch} top={top} height={height} />
        </>
      )}
    </g>
  );
}

// Below this height a stretch and its gates would be one blot; closer, they come out.
const gateRoom = 12;
const lineHeight = 17;
const letterWidth = 8.3;

type StretchWordsProps = {
  readonly ground: LadderGround;
  readonly stretch: Stretch;
  readonly top: number;
  readonly height: number;
};

function StretchWords({ ground, stretch, top, height }: StretchWordsProps) {
  const left = labelsAt(ground, stretch.lane);
  const right = (ground.leftByLane.get(stretch.lane) ?? 0) + ground.columnWidth;
  // A stretch that begins above the part in sight keeps its words in sight.
  const from = Math.max(top, headHeight);
  const lines = Math.floor((Math.min(top + height, ground.height) - from) / lineHeight);
  const letters = Math.floor((right - left) / letterWidth);
  const sign = stretch.state === "done" ? " ✓" : "";
  return (
    <text class="ladder__words" x={left} y={from - 4}>
      {wrapWords(`${stretch.number}${sign} ${stretch.text}`, letters, lines).map((line, place) => (
        <tspan key={place} x={left} dy={lineHeight}>
          {line}
        </tspan>
      ))}
    </text>
  );
}

type GatesProps = {
  readonly ground: LadderGround;
  readonly gates: readonly GateBar[];
  readonly rail: number;
  /** Where the stretch begins and ends. */
  readonly ends: readonly [number, number];
};

// Shut: one bar right across. Open: the bar stands aside, with a gap where the rail goes through.
function Gates({ ground, gates, rail, ends }: GatesProps) {
  return (
    <>
      {(["start", "done"] as const).map((before) => {
        const here = gates.filter((gate) => gate.before === before);
        const down = before === "start" ? ends[0] : ends[1];
        if (here.length === 0 || down < headHeight || down > ground.height) return null;
        const isOpen = here.every((gate) => gate.isOpen);
        const path = isOpen
          ? `M${rail - 17} ${down}h7M${rail + 10} ${down}h7`
          : `M${rail - 17} ${down}h34`;
        return (
          <path
            key={before}
            class={isOpen ? "ladder__gate" : "ladder__gate ladder__gate--shut"}
            d={path}
          />
        );
      })}
    </>
  );
}

/** What a rung needs to be drawn; its line lies under the stretches, its ends over them. */
export type RungMarkProps = {
  readonly ground: LadderGround;
  readonly rung: Rung;
  readonly draws: "line" | "ends";
};

/** A meet: a rung from rail to rail. */
export function RungMark({ ground, rung, draws }: RungMarkProps) {
  const isPlan = rung.layer === "planned";
  const points = rung.ends.map((end) => ({
    across: railAt(ground, end.lane, isPlan && ground.beside),
    down: downAt(ground, end.seconds),
  }));
  const path = points.map(({ across, down }, at) => `${at === 0 ? "M" : "L"}${across} ${down}`);
  return (
    <g class={`ladder__rung ladder__rung--${rung.layer}`}>
      {draws === "line" ? (
        <path d={path.join("")} fill="none" />
      ) : (
        points.map(({ across, down }) => <circle key={across} cx={across} cy={down} r="5" />)
      )}
    </g>
  );
}

/** A hold: hatched along the rails that it covers. */
export function HoldMark({
  ground,
  hold,
}: {
  readonly ground: LadderGround;
  readonly hold: HoldSpan;
}) {
  const top = Math.max(headHeight, downAt(ground, hold.fromSeconds));
  const height = Math.max(3, Math.min(ground.height, downAt(ground, hold.toSeconds)) - top);
  return (
    <g class="ladder__hold">
      {hold.lanes.map((lane) => (
        <rect
          key={lane}
          x={railAt(ground, lane, false) - 14}
          y={top}
          width={28}
          height={height}
          fill={`url(#${ground.idPrefix}-hold)`}
        />
      ))}
    </g>
  );
}

/** Now: a line across, with its time. */
export function NowMark({
  ground,
  seconds,
}: {
  readonly ground: LadderGround;
  readonly seconds: number;
}) {
  const down = downAt(ground, seconds);
  return (
    <g class="ladder__now">
      <line x1="0" x2={ground.width} y1={down} y2={down} />
      <rect x="0" y={down - 11} width={timesWidth - 4} height="22" />
      <text x="5" y={down + 5}>
        {formatPetMinutes(seconds)}
      </text>
    </g>
  );
}
