// Takes back this device's last tap. The record keeps both the tap and the withdrawal.

import { useState } from "preact/hooks";
import type { LastTap } from "../../machines/views/last-tap.ts";
import { Sheet } from "./sheet.tsx";
import { TapButton } from "./tap-button.tsx";
import type { Tap } from "./use-tap.ts";

/** Undo; closed where there is nothing to take back. */
export function UndoButton({
  lastTap,
  tap,
}: {
  readonly lastTap: LastTap | null;
  readonly tap: Tap;
}) {
  const [asked, setAsked] = useState<LastTap | null>(null);
  return (
    <>
      <TapButton
        whyNot={lastTap === null ? "Nothing to take back." : null}
        onTap={() => setAsked(lastTap)}
      >
        <span>
          Undo
          {lastTap === null ? null : <span class="small soft"> {lastTap.says}</span>}
        </span>
      </TapButton>
      {asked === null ? null : (
        <Sheet title="Take back the last tap?" onClose={() => setAsked(null)}>
          <p>{asked.says}</p>
          <div class="taps">
            <TapButton
              tone="main"
              wide
              onTap={() => {
                setAsked(null);
                tap(
                  { kind: "entry.withdrawn", withdrawn: asked.entry, reason: "Mis-tap" },
                  asked.position,
                );
              }}
            >
              Take it back
            </TapButton>
          </div>
        </Sheet>
      )}
    </>
  );
}
