// One part of the debrief with its heading.

import type { ComponentChildren } from "preact";

/** A part of the debrief. */
export type DebriefPartProps = {
  readonly id: string;
  readonly title: string;
  readonly children: ComponentChildren;
};

/** A heading and what stands under it. */
export function DebriefPart({ id, title, children }: DebriefPartProps) {
  return (
    <section class="debrief__part" aria-labelledby={`debrief-${id}`} data-part={id}>
      <h3 id={`debrief-${id}`}>{title}</h3>
      {children}
    </section>
  );
}
