// A hazard statement: WARNING in a triangle (persons), CAUTION in a hexagon (hardware), NOTE in a
// circle. Source of the colours: ISO 3864 and ANSI Z535, by secondary copies. The two shapes
// besides the triangle are our own.

import type { Hazard } from "../../machines/procedure/step.ts";
import "./hazard.css";

/** One hazard statement, as it stands before its step. */
export function HazardStatement({ hazard }: { readonly hazard: Pick<Hazard, "word" | "text"> }) {
  return (
    <div class={`hazard hazard--${hazard.word}`} data-hazard={hazard.word}>
      <span class="hazard__flag">
        <HazardShape word={hazard.word} />
        {hazard.word.toUpperCase()}
      </span>
      <p class="hazard__text">{hazard.text}</p>
    </div>
  );
}

/** A hazard ahead of time: the word with its shape. */
export function HazardFlag({ word }: { readonly word: "warning" | "caution" }) {
  return (
    <span class={`hazard-flag hazard-flag--${word}`}>
      <HazardShape word={word} />
      {word.toUpperCase()}
    </span>
  );
}

/** The shape that goes with a signal word; always beside the word itself. */
function HazardShape({ word }: { readonly word: Hazard["word"] }) {
  return (
    <svg viewBox="0 0 40 40" aria-hidden="true" focusable="false">
      <path
        d={outlines[word]}
        fill="none"
        stroke="currentColor"
        stroke-width="3.5"
        stroke-linejoin="round"
      />
      <path
        d={inner[word]}
        fill="none"
        stroke="currentColor"
        stroke-width="4"
        stroke-linecap="round"
      />
    </svg>
  );
}

const outlines: Readonly<Record<Hazard["word"], string>> = {
  warning: "M20 4 L37 35 L3 35 Z",
  caution: "M11 5 L29 5 L38 20 L29 35 L11 35 L2 20 Z",
  note: "M20 3 a17 17 0 1 0 0.01 0 Z",
};

const inner: Readonly<Record<Hazard["word"], string>> = {
  warning: "M20 15 L20 23 M20 29.5 L20 29.6",
  caution: "M20 11 L20 22 M20 28.5 L20 28.6",
  note: "M20 18 L20 28 M20 12 L20 12.1",
};
