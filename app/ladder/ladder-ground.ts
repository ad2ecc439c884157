// Where things lie on the ladder's drawing: columns for lanes, and pixels for seconds.

import type { PositionId } from "../../machines/procedure/ids.ts";
import type { LadderView } from "../../machines/views/ladder-view.ts";
import { secondsToPixels } from "./ladder-scale.ts";
import type { Extent } from "./ladder-scale.ts";

/** Measures of one drawing, in CSS px. */
export type LadderGround = {
  readonly width: number;
  readonly height: number;
  readonly part: Extent;
  /** Left edge of each lane's column. */
  readonly leftByLane: ReadonlyMap<PositionId, number>;
  readonly columnWidth: number;
  /** True: the plan's rail is drawn beside the run's. */
  readonly beside: boolean;
  /** Before each id in the drawing, so that two ladders on a page keep apart. */
  readonly idPrefix: string;
};

/** Height of the row with the lanes' names. */
export const headHeight = 34;
/** Width of the times at the left. */
export const timesWidth = 62;

/** Lays the lanes out side by side. */
export function layOutLadder(
  ladder: LadderView,
  size: { readonly width: number; readonly height: number; readonly part: Extent },
  beside: boolean,
  idPrefix: string,
): LadderGround {
  const columnWidth = (size.width - timesWidth) / Math.max(1, ladder.lanes.length);
  const lefts = ladder.lanes.map(
    ({ lane }, place) => [lane, timesWidth + place * columnWidth] as const,
  );
  return { ...size, columnWidth, leftByLane: new Map(lefts), beside, idPrefix };
}

/** The middle of the lane's rail: the plan's where it is drawn beside, else the run's. */
export function railAt(ground: LadderGround, lane: PositionId, isPlan: boolean): number {
  const left = ground.leftByLane.get(lane) ?? 0;
  if (!ground.beside) return left + 18;
  return left + (isPlan ? 9 : 32);
}

/** Where labels begin, right of the rails. */
export function labelsAt(ground: LadderGround, lane: PositionId): number {
  return railAt(ground, lane, false) + 20;
}

/** Pixels from the drawing's upper edge, head and all. */
export function downAt(ground: LadderGround, seconds: number): number {
  const body = ground.height - headHeight;
  return headHeight + secondsToPixels(ground.part, body, seconds);
}

/** Whether anything of a span is in sight. */
export function isInSight(
  ground: LadderGround,
  span: { readonly fromSeconds: number; readonly toSeconds: number },
): boolean {
  return span.toSeconds >= ground.part.fromSeconds && span.fromSeconds <= ground.part.toSeconds;
}
