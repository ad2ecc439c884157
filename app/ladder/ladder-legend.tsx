// What the ladder's marks mean, drawn with the marks themselves.

import type { ComponentChildren } from "preact";
import type { LadderLane } from "../../machines/views/ladder-view.ts";

/** The legend of a ladder. */
export function LadderLegend({
  lanes,
  beside,
}: {
  readonly lanes: readonly LadderLane[];
  readonly beside: boolean;
}) {
  const colour = lanes[0]?.marking.colour ?? "grey";
  return (
    <ul class={`ladder__legend lane-${colour}`} aria-label="Marks of the ladder">
      <Mark words="as run">
        <rect class="ladder__body ladder__figure" x="11" y="3" width="18" height="22" />
      </Mark>
      <Mark words="expected: an estimate">
        <g class="ladder__stretch--coming">
          <rect class="ladder__body" x="11" y="3" width="18" height="22" />
        </g>
      </Mark>
      {beside ? (
        <Mark words="planned">
          <g class="ladder__stretch--planned">
            <rect class="ladder__body" x="15" y="3" width="10" height="22" />
          </g>
        </Mark>
      ) : null}
      <Mark words="slack">
        <line class="ladder__rail" x1="20" x2="20" y1="2" y2="26" />
      </Mark>
      <Mark words="gate, shut">
        <path class="ladder__gate ladder__gate--shut" d="M3 14h34" />
      </Mark>
      <Mark words="gate, open">
        <path class="ladder__gate" d="M3 14h9M28 14h9" />
      </Mark>
      <Mark words="meet">
        <g class="ladder__rung">
          <path d="M6 14h28" />
          <circle cx="6" cy="14" r="5" />
          <circle cx="34" cy="14" r="5" />
        </g>
      </Mark>
      <Mark words="hold">
        <path class="ladder__hatch" d="M8 26l24 -24M8 16l14 -14M18 26l14 -14" />
      </Mark>
    </ul>
  );
}

function Mark({
  words,
  children,
}: {
  readonly words: string;
  readonly children: ComponentChildren;
}) {
  return (
    <li>
      <svg width="40" height="28" viewBox="0 0 40 28" aria-hidden="true" focusable="false">
        {children}
      </svg>
      {words}
    </li>
  );
}
