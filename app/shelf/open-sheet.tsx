// Opening a run with this device as its first director.

import { useState } from "preact/hooks";
import type { LiveShelf, OpenedRun, ProcedureOnShelf } from "../live/live-shelf.ts";
import type { TapRefusal } from "../live/live-run.ts";
import { ChoiceField, TextField } from "../parts/field.tsx";
import { Notice } from "../parts/notice.tsx";
import { Sheet } from "../parts/sheet.tsx";
import { TapButton } from "../parts/tap-button.tsx";
import { goToRun } from "./go-to-run.ts";
import { RecoveryCode } from "./recovery-code.tsx";

/** Which shelf, which procedure is proposed, and what closes the sheet. */
export type OpenSheetProps = {
  readonly shelf: LiveShelf;
  readonly first: ProcedureOnShelf;
  readonly onClose: () => void;
};

/** Procedure, title, device name; and then, once, the recovery code. */
export function OpenSheet({ shelf, first, onClose }: OpenSheetProps) {
  const procedures = shelf.procedures.value;
  const [identity, setIdentity] = useState<string>(first.identity);
  const [title, setTitle] = useState("");
  const [name, setName] = useState(shelf.deviceName.value);
  const [refusal, setRefusal] = useState<TapRefusal | null>(null);
  const [busy, setBusy] = useState(false);
  const [opened, setOpened] = useState<OpenedRun | null>(null);
  const chosen = procedures.find((one) => one.identity === identity) ?? first;
  const runTitle = title.trim() === "" ? chosen.title : title.trim();
  const open = async () => {
    setBusy(true);
    const named = await shelf.nameDevice(name.trim());
    if (named.refusal === null) {
      const outcome = await shelf.openRun(chosen.identity, runTitle, true);
      setRefusal(outcome.refusal);
      setOpened(outcome.value);
    } else {
      setRefusal(named.refusal);
    }
    setBusy(false);
  };
  if (opened !== null) {
    const { run, recoveryCode } = opened;
    return (
      <RecoveryCode
        code={recoveryCode ?? ""}
        title={runTitle}
        onDone={() => goToRun(run, "desk")}
      />
    );
  }
  return (
    <Sheet title="Open a run" onClose={onClose}>
      <p>This device becomes the director. Let the others in by code from the desk.</p>
      <ChoiceField
        label="Procedure"
        value={identity}
        onValue={setIdentity}
        choices={procedures.map((one) => ({
          value: one.identity,
          label: `${one.title}, revision ${one.revision}`,
        }))}
      />
      <TextField
        label="Title of the run"
        hint={`Left empty: “${chosen.title}”.`}
        value={title}
        maxLength={200}
        onValue={setTitle}
      />
      <TextField label="This device’s name" value={name} maxLength={200} onValue={setName} />
      {refusal === null ? null : (
        <Notice title={refusal.says} tone="against" role="alert">
          <p>{refusal.mend}</p>
        </Notice>
      )}
      <div class="taps">
        <TapButton
          tone="main"
          wide
          whyNot={name.trim() === "" ? "Name this device first." : busy ? "Opening." : null}
          onTap={() => void open()}
        >
          {busy ? "Opening…" : "Open the run"}
        </TapButton>
      </div>
    </Sheet>
  );
}
