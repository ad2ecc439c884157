// A note, or an oddity: something small and strange that should not be made normal.

import { useState } from "preact/hooks";
import type { PositionId, StepId } from "../../machines/procedure/ids.ts";
import { TextField } from "./field.tsx";
import { Sheet } from "./sheet.tsx";
import { TapButton } from "./tap-button.tsx";
import type { Tap } from "./use-tap.ts";

/** What the note is about and where it goes. */
export type NoteDialogProps = {
  readonly step: StepId | null;
  readonly as: PositionId | null;
  readonly tap: Tap;
  readonly onClose: () => void;
};

/** A sheet to write a note on. */
export function NoteDialog({ step, as, tap, onClose }: NoteDialogProps) {
  const [text, setText] = useState("");
  const [oddity, setOddity] = useState(false);
  const given = text.trim();
  return (
    <Sheet title="Note" onClose={onClose}>
      <TextField
        label="What you saw"
        lines="many"
        maxLength={1000}
        value={text}
        onValue={setText}
      />
      <div class="taps">
        <TapButton
          tone={oddity ? "chosen" : "plain"}
          pressed={oddity}
          onTap={() => setOddity(!oddity)}
        >
          {oddity ? "✓ Oddity" : "Mark as oddity"}
        </TapButton>
        <TapButton
          tone="main"
          wide
          whyNot={given === "" ? "Write something first." : null}
          onTap={() => {
            tap({ kind: "note.added", text: given, step, oddity }, as);
            onClose();
          }}
        >
          Keep note
        </TapButton>
      </div>
      <p class="soft small">
        An oddity is small and strange. Write it down so that nobody gets used to it.
      </p>
    </Sheet>
  );
}
