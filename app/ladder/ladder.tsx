// The ladder: controls, drawing, and the same as a list.
//
// Keys while the drawing has focus: + and - for closer and wider, 0 for the whole run, up and down
// arrows for earlier and later, N for now.

import { useRef, useState } from "preact/hooks";
import type { ProcedureIndex } from "../../machines/procedure/procedure-index.ts";
import { formatPet, formatSpan } from "../../machines/views/format-time.ts";
import { ladderList } from "../../machines/views/ladder-list.ts";
import type { LadderView, Stretch } from "../../machines/views/ladder-view.ts";
import { positionName, stepStateWords } from "../../machines/views/words.ts";
import { TapButton } from "../parts/tap-button.tsx";
import { useWidth } from "../parts/use-width.ts";
import { LadderDrawing } from "./ladder-drawing.tsx";
import { headHeight, timesWidth } from "./ladder-ground.ts";
import { LadderLegend } from "./ladder-legend.tsx";
import { partAround, zoomSpans } from "./ladder-scale.ts";
import type { Extent } from "./ladder-scale.ts";
import "./ladder.css";

/** What a ladder is made of. */
export type LadderProps = {
  readonly index: ProcedureIndex;
  readonly ladder: LadderView;
  /** True: the plan's rail is drawn beside the run's. */
  readonly beside: boolean;
};

const heightPixels = 620;

/** The ladder of a plan or of a run. */
export function Ladder({ index, ladder, beside }: LadderProps) {
  const frame = useRef<HTMLDivElement>(null);
  // On a phone the drawing is wider than its frame, which then scrolls, so that words stay words.
  const width = Math.max(useWidth(frame, 720), timesWidth + ladder.lanes.length * 92);
  const sight = useSight(ladder);
  const [chosen, setChosen] = useState<Stretch | null>(null);
  return (
    <div class="ladder">
      <div class="taps ladder__taps" role="group" aria-label="Part of the ladder in sight">
        <TapButton onTap={sight.closer} whyNot={sight.whyNotCloser} name="Closer">
          + Closer
        </TapButton>
        <TapButton onTap={sight.wider} whyNot={sight.whyNotWider} name="Wider">
          − Wider
        </TapButton>
        <TapButton onTap={sight.earlier}>Earlier</TapButton>
        <TapButton onTap={sight.later}>Later</TapButton>
        {ladder.nowSeconds === null ? null : <TapButton onTap={sight.now}>Now</TapButton>}
        <TapButton onTap={sight.whole}>Whole run</TapButton>
      </div>
      <p class="small soft" role="status">
        In sight: {formatPet(sight.part.fromSeconds)} to {formatPet(sight.part.toSeconds)}
      </p>
      <div
        ref={frame}
        class="ladder__frame"
        role="application"
        tabIndex={0}
        aria-label="Ladder, drawn. Plus and minus: closer and wider. Arrows: earlier and later. The same stands in the list below it."
        onKeyDown={(event) => {
          const act = sight.actOfKey(event.key);
          if (act === undefined) return;
          event.preventDefault();
          act();
        }}
      >
        <LadderDrawing
          ladder={ladder}
          part={sight.part}
          width={width}
          height={heightPixels + headHeight}
          beside={beside}
          chosen={chosen}
          onChoose={setChosen}
        />
      </div>
      <ChosenStep index={index} stretch={chosen} />
      <LadderLegend lanes={ladder.lanes} beside={beside} />
      <LadderList index={index} ladder={ladder} />
    </div>
  );
}

function ChosenStep({
  index,
  stretch,
}: {
  readonly index: ProcedureIndex;
  readonly stretch: Stretch | null;
}) {
  if (stretch === null) return null;
  const lasts = formatSpan(stretch.toSeconds - stretch.fromSeconds);
  const state = stretch.state === null ? "" : ` ${stepStateWords[stretch.state]}.`;
  return (
    <p class="paper" role="status">
      <strong>
        {positionName(index, stretch.lane)} step {stretch.number}
      </strong>
      : {stretch.text} {layerWords[stretch.layer]} {formatPet(stretch.fromSeconds)}, {lasts}.{state}
    </p>
  );
}

const layerWords: Readonly<Record<Stretch["layer"], string>> = {
  planned: "Planned at",
  "as-run": "As run at",
  coming: "Expected about",
};

function LadderList({ index, ladder }: Pick<LadderProps, "index" | "ladder">) {
  const [isOpen, setIsOpen] = useState(false);
  return (
    <details class="ladder__list" onToggle={(event) => setIsOpen(event.currentTarget.open)}>
      <summary>The ladder as a list</summary>
      {isOpen ? (
        <ol>
          {ladderList(index, ladder).map((line) => (
            <li key={line.key}>{line.text}</li>
          ))}
        </ol>
      ) : null}
    </details>
  );
}

type Sight = {
  readonly part: Extent;
  readonly closer: () => void;
  readonly wider: () => void;
  readonly earlier: () => void;
  readonly later: () => void;
  readonly now: () => void;
  readonly whole: () => void;
  readonly whyNotCloser: string | null;
  readonly whyNotWider: string | null;
  readonly actOfKey: (key: string) => (() => void) | undefined;
};

// Middle null: the part in sight goes along with now.
function useSight(ladder: LadderView): Sight {
  const spans = zoomSpans(ladder);
  const [zoom, setZoom] = useState(0);
  const [middle, setMiddle] = useState<number | null>(null);
  const place = Math.min(zoom, spans.length - 1);
  const span = spans[place] ?? ladder.toSeconds - ladder.fromSeconds;
  const part = partAround(ladder, span, middle ?? ladder.nowSeconds ?? ladder.fromSeconds);
  const middleNow = (part.fromSeconds + part.toSeconds) / 2;
  const move = (spansOf: number) => () => {
    const moved = partAround(ladder, span, middleNow + spansOf * span);
    setMiddle((moved.fromSeconds + moved.toSeconds) / 2);
  };
  const closer = () => setZoom(Math.min(place + 1, spans.length - 1));
  const wider = () => setZoom(Math.max(0, place - 1));
  const acts: Readonly<Record<string, () => void>> = {
    "+": closer,
    "=": closer,
    "-": wider,
    "0": () => setZoom(0),
    ArrowUp: move(-0.5),
    ArrowDown: move(0.5),
    n: () => setMiddle(null),
    N: () => setMiddle(null),
  };
  return {
    part,
    closer,
    wider,
    earlier: move(-0.5),
    later: move(0.5),
    now: () => setMiddle(null),
    whole: () => setZoom(0),
    whyNotCloser: place === spans.length - 1 ? "This is as close as it gets." : null,
    whyNotWider: place === 0 ? "The whole run is in sight." : null,
    actOfKey: (key) => acts[key],
  };
}
