// A button for one tap.

import type { ComponentChildren } from "preact";
import "./tap-button.css";

/** How a button looks: `main` is the one thing to do next; `against` goes on against something. */
export type TapTone = "main" | "plain" | "against" | "chosen";

/** What a tap button is made of. */
export type TapButtonProps = {
  readonly children: ComponentChildren;
  readonly onTap: () => void;
  readonly tone?: TapTone;
  /** Takes the width that is left in its row. */
  readonly wide?: boolean;
  /** Why it can't be tapped now; null or absent: it can. It stays reachable and says why. */
  readonly whyNot?: string | null;
  /** Name for a screen reader, where the text in it is not enough. */
  readonly name?: string;
  /** For a button that is on or off. */
  readonly pressed?: boolean;
  readonly describedBy?: string;
};

/** A button of at least 64 by 64 CSS px. A closed one stays in the tab order and tells its reason. */
export function TapButton(props: TapButtonProps) {
  const closed = props.whyNot !== undefined && props.whyNot !== null;
  return (
    <button
      type="button"
      class={`tap tap--${props.tone ?? "plain"}${props.wide === true ? " tap--wide" : ""}`}
      aria-disabled={closed ? "true" : undefined}
      aria-label={props.name}
      aria-pressed={props.pressed}
      aria-describedby={props.describedBy}
      title={props.whyNot ?? undefined}
      onClick={() => {
        if (!closed) props.onTap();
      }}
    >
      {props.children}
    </button>
  );
}
