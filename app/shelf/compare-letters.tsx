// Comparing the letters of the run's root with the director's screen, before anything is kept.

import { useState } from "preact/hooks";
import { roleWords } from "../../machines/views/words.ts";
import type { JoinOffer } from "../live/live-shelf.ts";
import type { TapRefusal } from "../live/live-run.ts";
import { Letters } from "../parts/letters.tsx";
import { Notice } from "../parts/notice.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { goToRun } from "./go-to-run.ts";

/** What the hub offers, and by which name this device asked. */
export type CompareLettersProps = { readonly offer: JoinOffer; readonly deviceName: string };

/** The letters, and what a person says of them. */
export function CompareLetters({ offer, deviceName }: CompareLettersProps) {
  const [isDifferent, setDifferent] = useState(false);
  const [refusal, setRefusal] = useState<TapRefusal | null>(null);
  const [busy, setBusy] = useState(false);
  const keep = async () => {
    setBusy(true);
    const outcome = await offer.keep();
    setBusy(false);
    setRefusal(outcome.refusal);
    if (outcome.refusal === null) goToRun(outcome.value, null);
  };
  if (isDifferent) return <Different deviceName={deviceName} />;
  const role = offer.lane === null ? "" : `, ${offer.lane}`;
  return (
    <>
      <p>
        <strong>{offer.title}</strong>: {roleWords[offer.role]}
        {role}
      </p>
      <div class="landing compare-letters" role="group" aria-label="Check letters">
        <p>Does the director’s screen show these check letters?</p>
        <p>
          <Letters look="check" text={offer.letters} />
        </p>
        <p class="small soft">
          They stand beside the code and above the list of devices. They tell that no other run is
          put in the place of the director’s.
        </p>
      </div>
      {refusal === null ? null : (
        <Notice title={refusal.says} tone="against" role="alert">
          <p>{refusal.mend}</p>
        </Notice>
      )}
      <div class="taps">
        <TapButton
          tone="main"
          wide
          whyNot={busy ? "Joining." : null}
          onTap={() => {
            if (!busy) void keep();
          }}
        >
          {busy ? "Joining…" : "Same letters"}
        </TapButton>
        <TapButton tone="against" wide onTap={() => setDifferent(true)}>
          Different letters
        </TapButton>
      </div>
    </>
  );
}

function Different({ deviceName }: { readonly deviceName: string }) {
  return (
    <Notice title="Do not join by this code." tone="against" role="alert">
      <p>
        The hub offers another run than the director’s, by a mistake or by somebody’s doing. Nothing
        of it was kept on this device.
      </p>
      <p>
        Tell the director. If “{deviceName}” is in the list of devices, it should be struck off
        there. Then join by the QR.
      </p>
    </Notice>
  );
}
