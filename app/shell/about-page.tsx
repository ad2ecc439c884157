// What the app is and is not, and what its signs mean. Said once, plainly.

import type { LiveShelf } from "../live/live-shelf.ts";
import { HazardStatement } from "../parts/hazard.tsx";
import { SimulatedCard } from "../parts/simulated-card.tsx";
import "./about-page.css";
import { Readiness } from "./readiness.tsx";

/** The page about the app; `shelf` null: what is on this device is not open, or not yet. */
export function AboutPage({ shelf }: { readonly shelf: LiveShelf | null }) {
  return (
    <div class="about">
      <section class="paper about__section" aria-labelledby="about-what">
        <h2 id="about-what">What this is</h2>
        <p>
          A training and planning aid for rehearsals of two-person suited work. It does not replace
          the facility’s test safety officer, its rules, dive tables or medical officers, nor a
          flight-certified procedure. It defers to local codes and to licensed practice.
        </p>
        <p>The demo procedures, sites, items and names are invented.</p>
      </section>
      <section class="paper about__section" aria-labelledby="about-signs">
        <h2 id="about-signs">What the signs mean</h2>
        <HazardStatement hazard={{ word: "warning", text: "May hurt a person." }} />
        <HazardStatement
          hazard={{
            word: "caution",
            text: "May damage hardware. Note: on signs in buildings, CAUTION often means persons. Here it means hardware.",
          }}
        />
        <HazardStatement hazard={{ word: "note", text: "Neither; good to know." }} />
        <SimulatedCard
          title="A simulated case"
          card="Is always framed like this, under this word."
        />
        <p>
          <strong>REAL STOP</strong> ends the exercise for a real reason. It is solid red, fills the
          screen of every device, and never carries the word SIMULATED. Anyone may call it: press
          and hold for one second.
        </p>
        <p>
          <strong>HOLD</strong> is hatched. Nobody whom it covers goes on until it is released.
        </p>
      </section>
      <Readiness shelf={shelf} />
    </div>
  );
}
