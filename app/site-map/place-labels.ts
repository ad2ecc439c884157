// Where the names of sites go on a map, so that none lies over another.
//
// [labels 1] No two names that are placed overlap, and none overlaps a point.
// [labels 2] A point whose name finds no place gets none; the caller then shows a number for it.
// [labels 3] It depends on the points and their order alone: earlier points choose first.

/** A point with its name, in pixels. */
export type Labelled = { readonly x: number; readonly y: number; readonly name: string };

/** Where a name is drawn: its left end, or its middle or right end, on its base line. */
export type LabelPlace = {
  readonly x: number;
  readonly y: number;
  readonly anchor: "start" | "middle" | "end";
};

/** Size of the letters and of the ground, in pixels. */
export type LabelSizes = {
  readonly letterWidth: number;
  readonly lineHeight: number;
  readonly pointRadius: number;
  readonly width: number;
  readonly height: number;
};

type Box = {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
};

/** A place for each point's name, in the points' order; null where there is none. */
export function placeLabels(
  points: readonly Labelled[],
  sizes: LabelSizes,
): readonly (LabelPlace | null)[] {
  const taken: Box[] = points.map(({ x, y }) => ({
    left: x - sizes.pointRadius,
    right: x + sizes.pointRadius,
    top: y - sizes.pointRadius,
    bottom: y + sizes.pointRadius,
  }));
  return points.map((point) => {
    const free = candidates(point, sizes).find(({ box }) => isFree(box, taken, sizes));
    if (free === undefined) return null;
    taken.push(free.box);
    return free.place;
  });
}

type Candidate = { readonly place: LabelPlace; readonly box: Box };

// Below, above, right, left: in this order, for most paths run from side to side.
function candidates(point: Labelled, sizes: LabelSizes): readonly Candidate[] {
  const { x, y, name } = point;
  const width = name.length * sizes.letterWidth;
  const aside = sizes.pointRadius + 4;
  const half = sizes.lineHeight / 2;
  const level = { top: y - half, bottom: y + half };
  const under = { top: y + aside, bottom: y + aside + sizes.lineHeight };
  const over = { top: y - aside - sizes.lineHeight, bottom: y - aside };
  const middle = { left: x - width / 2, right: x + width / 2 };
  const baseOf = (box: { readonly bottom: number }) => box.bottom - sizes.lineHeight / 4;
  return [
    { place: { x, y: baseOf(under), anchor: "middle" }, box: { ...under, ...middle } },
    { place: { x, y: baseOf(over), anchor: "middle" }, box: { ...over, ...middle } },
    {
      place: { x: x + aside, y: baseOf(level), anchor: "start" },
      box: { ...level, left: x + aside, right: x + aside + width },
    },
    {
      place: { x: x - aside, y: baseOf(level), anchor: "end" },
      box: { ...level, left: x - aside - width, right: x - aside },
    },
  ];
}

function isFree(box: Box, taken: readonly Box[], sizes: LabelSizes): boolean {
  const isInside =
    box.left >= 0 && box.top >= 0 && box.right <= sizes.width && box.bottom <= sizes.height;
  return isInside && !taken.some((other) => overlap(box, other));
}

function overlap(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}
