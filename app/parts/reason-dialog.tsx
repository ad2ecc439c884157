// Asks for a reason before an act: deferring, going on against a gate, raising a hold.

import { useState } from "preact/hooks";
import { TextField } from "./field.tsx";
import { HoldToDoButton } from "./hold-to-do-button.tsx";
import { Sheet } from "./sheet.tsx";
import { TapButton } from "./tap-button.tsx";
import type { TapTone } from "./tap-button.tsx";

/** What a reason dialog asks. */
export type ReasonDialogProps = {
  readonly title: string;
  /** What the act means, in a sentence. */
  readonly says?: string;
  /** Reasons that are taken with one tap. */
  readonly suggestions: readonly string[];
  readonly label?: string;
  /** The word on the button that acts. */
  readonly act: string;
  /** True: the button must be held. */
  readonly hold?: boolean;
  readonly tone?: TapTone;
  readonly onReason: (reason: string) => void;
  readonly onClose: () => void;
};

/** A sheet with ready reasons and a place to type another; it acts only with a reason. */
export function ReasonDialog(props: ReasonDialogProps) {
  const [reason, setReason] = useState("");
  const given = reason.trim();
  const act = () => {
    if (given !== "") props.onReason(given);
  };
  return (
    <Sheet title={props.title} onClose={props.onClose}>
      {props.says === undefined ? null : <p>{props.says}</p>}
      {props.suggestions.length === 0 ? null : (
        <div class="taps" role="group" aria-label="Ready reasons">
          {props.suggestions.map((suggestion) => (
            <TapButton
              key={suggestion}
              tone={suggestion === reason ? "chosen" : "plain"}
              pressed={suggestion === reason}
              onTap={() => setReason(suggestion)}
            >
              {suggestion}
            </TapButton>
          ))}
        </div>
      )}
      <TextField label={props.label ?? "Reason"} lines="many" value={reason} onValue={setReason} />
      <div class="taps">
        {props.hold === true && given !== "" ? (
          <HoldToDoButton tone={props.tone ?? "main"} wide onDone={act}>
            {props.act}
          </HoldToDoButton>
        ) : (
          <TapButton
            tone={props.tone ?? "main"}
            wide
            whyNot={given === "" ? "Give a reason first." : null}
            onTap={act}
          >
            {given === "" ? `${props.act}: give a reason first` : props.act}
          </TapButton>
        )}
      </div>
    </Sheet>
  );
}
