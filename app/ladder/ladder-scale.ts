// The scale of the ladder: which part of the run is in sight, and where a second lies in it.
//
// [ladder-scale 1] The part in sight never leaves the run: it is moved back inside.
// [ladder-scale 2] Closer and wider keep the middle where it is, as far as the first rule lets them.

/** The whole run's extent, seconds from its start. */
export type Extent = { readonly fromSeconds: number; readonly toSeconds: number };

/** Spans that can be in sight, from wide to close; the whole run comes before them. */
const closerSpans: readonly number[] = [14_400, 7200, 3600, 1800, 600];

/** The spans that a run of this extent offers, in seconds, the whole run first. */
export function zoomSpans(extent: Extent): readonly number[] {
  const whole = extent.toSeconds - extent.fromSeconds;
  return [whole, ...closerSpans.filter((span) => span < whole)];
}

/** The part of the extent that is `spanSeconds` long around a middle, moved inside the extent. */
export function partAround(extent: Extent, spanSeconds: number, middleSeconds: number): Extent {
  const latestFrom = Math.max(extent.fromSeconds, extent.toSeconds - spanSeconds);
  const wanted = middleSeconds - spanSeconds / 2;
  const fromSeconds = Math.min(Math.max(wanted, extent.fromSeconds), latestFrom);
  return { fromSeconds, toSeconds: fromSeconds + spanSeconds };
}

/** Where a second lies on a drawing of this height, in its pixels from the part's start. */
export function secondsToPixels(part: Extent, heightPixels: number, seconds: number): number {
  const span = part.toSeconds - part.fromSeconds;
  return ((seconds - part.fromSeconds) / span) * heightPixels;
}

/** Round times for the marks at the side: as many as are at least `gapPixels` apart. */
export function tickSeconds(
  part: Extent,
  heightPixels: number,
  gapPixels: number,
): readonly number[] {
  const span = part.toSeconds - part.fromSeconds;
  const wanted = (span / heightPixels) * gapPixels;
  const every = roundSteps.find((step) => step >= wanted) ?? 7200;
  const ticks: number[] = [];
  for (let at = Math.ceil(part.fromSeconds / every) * every; at <= part.toSeconds; at += every) {
    ticks.push(at);
  }
  return ticks;
}

const roundSteps: readonly number[] = [30, 60, 120, 300, 600, 900, 1800, 3600, 7200];

/** A text in lines of at most so many letters, cut with an ellipsis after the last line. */
export function wrapWords(
  text: string,
  lettersPerLine: number,
  linesMax: number,
): readonly string[] {
  if (lettersPerLine < 2 || linesMax < 1) return [];
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ")) {
    const longer = line === "" ? word : `${line} ${word}`;
    if (longer.length <= lettersPerLine || line === "") {
      line = longer;
      continue;
    }
    lines.push(line);
    line = word;
  }
  lines.push(line);
  const shown = lines.slice(0, linesMax).map((full) => cut(full, lettersPerLine));
  const last = shown.at(-1);
  if (lines.length > linesMax && last !== undefined && !last.endsWith("…")) {
    shown[shown.length - 1] = `${last.slice(0, lettersPerLine - 1)}…`;
  }
  return shown;
}

function cut(line: string, letters: number): string {
  return line.length <= letters ? line : `${line.slice(0, letters - 1)}…`;
}
