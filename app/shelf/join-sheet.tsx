// Joining a run by the code that its director gives.

import { useState } from "preact/hooks";
import type { LiveShelf } from "../live/live-shelf.ts";
import type { TapRefusal } from "../live/live-run.ts";
import { TextField } from "../parts/field.tsx";
import { Notice } from "../parts/notice.tsx";
import { Sheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { goToRun } from "./go-to-run.ts";

/** Which shelf, and what closes the sheet. */
export type JoinSheetProps = { readonly shelf: LiveShelf; readonly onClose: () => void };

/** The code and the device's name. */
export function JoinSheet({ shelf, onClose }: JoinSheetProps) {
  const [code, setCode] = useState("");
  const [name, setName] = useState(shelf.deviceName.value);
  const [refusal, setRefusal] = useState<TapRefusal | null>(null);
  const [busy, setBusy] = useState(false);
  const letters = code.replace(/[^A-Za-z]/g, "").length;
  const join = async () => {
    setBusy(true);
    const outcome = await shelf.joinRun(code.trim(), name.trim());
    setBusy(false);
    setRefusal(outcome.refusal);
    if (outcome.refusal === null) goToRun(outcome.value, null);
  };
  const enter = () => {
    if (whyNot(letters, name, busy) === null) void join();
  };
  return (
    <Sheet title="Join a run" onClose={onClose}>
      <TextField
        label="Code from the director"
        hint="Eight letters, like BCDF-GHJK. It lets one device in, once."
        value={code}
        maxLength={12}
        capitals
        onValue={setCode}
        onEnter={enter}
      />
      <TextField
        label="This device’s name"
        hint="What the others read, like “EV1 tablet”."
        value={name}
        maxLength={200}
        onValue={setName}
        onEnter={enter}
      />
      {refusal === null ? null : (
        <Notice title={refusal.says} tone="against" role="alert">
          <p>{refusal.mend}</p>
        </Notice>
      )}
      <div class="taps">
        <TapButton tone="main" wide whyNot={whyNot(letters, name, busy)} onTap={enter}>
          {busy ? "Joining…" : "Join"}
        </TapButton>
      </div>
    </Sheet>
  );
}

function whyNot(letters: number, name: string, busy: boolean): string | null {
  if (busy) return "Joining.";
  if (letters !== 8) return "Type all eight letters.";
  return name.trim() === "" ? "Name this device first." : null;
}
