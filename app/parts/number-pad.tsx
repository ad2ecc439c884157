// A pad for a reading: keys for fingers, the same line for a keyboard.

import { useId, useState } from "preact/hooks";
import { TapButton } from "./tap-button.tsx";
import "./number-pad.css";

/** What a number pad asks for. */
export type NumberPadProps = {
  readonly label: string;
  readonly unit: string;
  /** The limits in words, "from 27 to 31 kPa"; null: none. */
  readonly limits: string | null;
  /** What the number would mean, in words; null: nothing to say. */
  readonly judge?: (value: number) => string | null;
  readonly act: string;
  readonly onNumber: (value: number) => void;
};

const keys = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "−", "0", "."] as const;

/** Digits, sign and point; acts only with a number. */
export function NumberPad(props: NumberPadProps) {
  const [text, setText] = useState("");
  const id = useId();
  const value = readNumber(text);
  const judged = value === null ? null : (props.judge?.(value) ?? null);
  const enter = () => {
    if (value !== null) props.onNumber(value);
  };
  return (
    <div class="number-pad" role="group" aria-label={props.label}>
      <label for={id}>
        <strong>{props.label}</strong>
        {props.limits === null ? null : <span class="soft"> {props.limits}</span>}
      </label>
      <div class="number-pad__line">
        <input
          id={id}
          class="number-pad__value"
          type="text"
          inputMode="none"
          autoComplete="off"
          value={text}
          aria-describedby={`${id}-judged`}
          onInput={(event) => setText(event.currentTarget.value.slice(0, 12))}
          onKeyDown={(event) => {
            if (event.key === "Enter") enter();
          }}
        />
        <span class="sounding">{props.unit === "1" ? "" : props.unit}</span>
      </div>
      <p id={`${id}-judged`} role="status">
        {judged ?? ""}
      </p>
      <div class="number-pad__keys">
        {keys.map((key) => (
          <TapButton
            key={key}
            name={keyNames[key] ?? key}
            onTap={() => setText(pressKey(text, key))}
          >
            {key}
          </TapButton>
        ))}
      </div>
      <div class="taps">
        <TapButton wide onTap={() => setText(text.slice(0, -1))}>
          Delete
        </TapButton>
        <TapButton
          wide
          tone="main"
          whyNot={value === null ? "Type a number first." : null}
          onTap={enter}
        >
          {props.act}
        </TapButton>
      </div>
    </div>
  );
}

const keyNames: { readonly [key: string]: string } = { "−": "minus", ".": "point" };

/** The number that a person typed; null: none. Takes a comma for a point, and either minus. */
export function readNumber(text: string): number | null {
  const plain = text.trim().replace("−", "-").replace(",", ".");
  if (!/^-?(\d+\.?\d*|\.\d+)$/.test(plain)) return null;
  return Number(plain);
}

function pressKey(text: string, key: string): string {
  if (key === "−") return text.startsWith("−") ? text.slice(1) : `−${text}`;
  if (key === "." && /[.,]/.test(text)) return text;
  return text.length >= 12 ? text : text + key;
}
