// Taking a lost director's place with the recovery code of a run.

import { useState } from "preact/hooks";
import type { LiveShelf } from "../live/live-shelf.ts";
import type { TapRefusal } from "../live/live-run.ts";
import { TextField } from "../parts/field.tsx";
import { HoldToDoButton } from "../parts/hold-to-do-button.tsx";
import { Notice } from "../parts/notice.tsx";
import { Sheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { goToRun } from "./go-to-run.ts";

/** Which shelf, and what closes the sheet. */
export type RecoverSheetProps = { readonly shelf: LiveShelf; readonly onClose: () => void };

/** The code's twenty letters and the device's name. */
export function RecoverSheet({ shelf, onClose }: RecoverSheetProps) {
  const [code, setCode] = useState("");
  const [name, setName] = useState(shelf.deviceName.value);
  const [refusal, setRefusal] = useState<TapRefusal | null>(null);
  const [busy, setBusy] = useState(false);
  const stopped = whyNot(code, name, busy);
  const recover = async () => {
    setBusy(true);
    const outcome = await shelf.recoverRun(code, name.trim());
    setBusy(false);
    setRefusal(outcome.refusal);
    if (outcome.refusal === null) goToRun(outcome.value, "desk");
  };
  return (
    <Sheet title="Recover a run" onClose={onClose}>
      <p>
        If the director’s tablet is lost: this device becomes a director’s of the same run. Needs
        the hub, and the recovery code that was written down when the run was opened.
      </p>
      <TextField
        label="Recovery code"
        hint="Twenty letters, like BCDF-GHJK-LMNP-QRST-VWXZ."
        value={code}
        maxLength={40}
        capitals
        onValue={setCode}
      />
      <TextField label="This device’s name" value={name} maxLength={200} onValue={setName} />
      <p class="small">
        Strike the lost tablet off at the desk afterwards, so that nobody directs the run with it.
      </p>
      {refusal === null ? null : (
        <Notice title={refusal.says} tone="against" role="alert">
          <p>{refusal.mend}</p>
        </Notice>
      )}
      <div class="taps">
        {stopped === null ? (
          <HoldToDoButton tone="main" wide onDone={() => void recover()}>
            Recover the run
          </HoldToDoButton>
        ) : (
          <TapButton tone="main" wide whyNot={stopped} onTap={() => {}}>
            {busy ? "Recovering…" : "Recover the run"}
          </TapButton>
        )}
      </div>
    </Sheet>
  );
}

function whyNot(code: string, name: string, busy: boolean): string | null {
  if (busy) return "Recovering.";
  if (code.replace(/[^A-Za-z]/g, "").length !== 20) return "Type all twenty letters.";
  return name.trim() === "" ? "Name this device first." : null;
}
