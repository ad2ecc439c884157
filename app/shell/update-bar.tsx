// A new version of the app waits until the person takes it; never in a run.

import { useState } from "preact/hooks";
import type { LiveShelf } from "../live/live-shelf.ts";
import type { TapRefusal } from "../live/live-run.ts";
import { Notice } from "../parts/notice.tsx";
import { TapButton } from "../parts/tap-button.tsx";

/** The bar, on the shelf only; nothing where no version waits. */
export function UpdateBar({ shelf }: { readonly shelf: LiveShelf }) {
  const [refusal, setRefusal] = useState<TapRefusal | null>(null);
  const update = shelf.update.value;
  if (update === "none") return null;
  return (
    <Notice title="A new version of the app is here." role="status">
      {refusal === null ? null : (
        <p role="alert">
          {refusal.says} {refusal.mend}
        </p>
      )}
      <div class="taps">
        <TapButton
          tone="main"
          whyNot={update === "taking" ? "Being taken." : null}
          onTap={() => {
            void shelf.takeUpdate().then((outcome) => setRefusal(outcome.refusal));
          }}
        >
          {update === "taking" ? "Taking it…" : "Take it now"}
        </TapButton>
      </div>
    </Notice>
  );
}
