// The card of an inject, under the word SIMULATED, which a real stop never carries.

import type { ComponentChildren } from "preact";
import "./simulated-card.css";

/** What a simulated case shows. */
export type SimulatedCardProps = {
  readonly title: string;
  readonly card: string;
  readonly children?: ComponentChildren;
};

/** A simulated case as the crew sees it. */
export function SimulatedCard({ title, card, children }: SimulatedCardProps) {
  return (
    <section class="simulated" aria-label={`SIMULATED: ${title}`}>
      <strong class="simulated__word">SIMULATED</strong>
      <div class="simulated__body">
        <h3>{title}</h3>
        <p class="simulated__text">{card}</p>
        {children}
      </div>
    </section>
  );
}
