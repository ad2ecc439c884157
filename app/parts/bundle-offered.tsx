// A bundle that was looked into: what is in it, and whether to take it.

import { useState } from "preact/hooks";
import type { TapRefusal } from "../live/live-run.ts";
import type { BundleOffer, TakenBundle } from "../live/read-bundle.ts";
import { Letters } from "./letters.tsx";
import { Notice } from "./notice.tsx";
import { TapButton } from "./tap-button.tsx";

/** The bundle, and what comes of it. */
export type BundleOfferedProps = {
  readonly offer: BundleOffer;
  readonly onTaken: (taken: TakenBundle) => void;
  readonly onRefused: (refusal: TapRefusal) => void;
};

/** What is in it; for a run that is new here, the letters to compare. */
export function BundleOffered({ offer, onTaken, onRefused }: BundleOfferedProps) {
  const [isDifferent, setDifferent] = useState(false);
  const [busy, setBusy] = useState(false);
  const { letters } = offer;
  const take = async () => {
    if (busy) return;
    setBusy(true);
    const outcome = await offer.take();
    if (outcome.refusal === null) onTaken(outcome.value);
    else onRefused(outcome.refusal);
  };
  if (isDifferent) return <Different />;
  return (
    <>
      <OfferFacts offer={offer} />
      {letters === null ? null : <Compare letters={letters} />}
      <div class="taps">
        <TapButton tone="main" wide whyNot={busy ? "Taking it." : null} onTap={() => void take()}>
          {busy ? "Taking it…" : letters === null ? "Take it" : "Same letters: take it"}
        </TapButton>
        {letters === null ? null : (
          <TapButton tone="against" wide onTap={() => setDifferent(true)}>
            Different letters
          </TapButton>
        )}
      </div>
    </>
  );
}

function OfferFacts({ offer }: { readonly offer: BundleOffer }) {
  const facts: readonly (readonly [string, string])[] = [
    ["Run", offer.title],
    ["Made by", offer.makerName === "" ? "a device without a name" : offer.makerName],
    ["Made at", `${momentOf(offer.madeAtMs)}, by that device’s clock`],
    ["For", offer.readers === "everybody" ? "everybody" : "directors, with the injects"],
    ["Entries", String(offer.entries)],
  ];
  return (
    <dl class="bundle__facts" aria-label="What is in the bundle">
      {facts.map(([name, fact]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{fact}</dd>
        </div>
      ))}
    </dl>
  );
}

function Compare({ letters }: { readonly letters: string }) {
  return (
    <div class="landing bundle" role="group" aria-label="Check letters">
      <p>This run is new to this device. Does the director’s screen show these check letters?</p>
      <p>
        <Letters look="check" text={letters} />
      </p>
      <p class="small soft">
        They stand above the list of devices at the desk. They tell that no other run is put in the
        place of the director’s.
      </p>
    </div>
  );
}

function Different() {
  return (
    <Notice title="Do not take this bundle." tone="against" role="alert">
      <p>
        It is of another run than the director’s, by a mistake or by somebody’s doing. Nothing of it
        was kept. Tell the director where it came from.
      </p>
    </Notice>
  );
}

// A clock may stand anywhere; a date that no calendar has is said as it is.
function momentOf(ms: number): string {
  try {
    const style = { dateStyle: "medium", timeStyle: "short", hourCycle: "h23" } as const;
    return new Intl.DateTimeFormat(undefined, style).format(ms);
  } catch {
    return `${ms} ms after 1970`;
  }
}
