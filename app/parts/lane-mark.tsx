// A position's name beside its lane's pattern and colour, so that lanes are told apart without
// colour too.

import type { Position } from "../../machines/procedure/procedure.ts";
import "./lane-mark.css";

/** The ribbon of a lane with its position's name. */
export function LaneMark({ position }: { readonly position: Pick<Position, "name" | "marking"> }) {
  return (
    <span class={`lane-mark lane-${position.marking.colour}`}>
      <span
        class={`lane-mark__ribbon lane-pattern-${position.marking.pattern}`}
        aria-hidden="true"
      />
      {position.name}
    </span>
  );
}
