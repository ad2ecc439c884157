// A button that must be held: for acts that reach far or can't be taken back.
//
// [hold-to-do 1] It acts once the pointer, Enter or the space bar has been down for all of
//   `holdMs`; letting go, leaving or losing focus before that does nothing.
// [hold-to-do 2] What presses buttons without a finger or a key (a screen reader, a switch) presses
//   twice: the first press asks, the second within five seconds acts.

import type { ComponentChildren } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { announce } from "./announce.tsx";
import "./hold-to-do-button.css";
import type { TapTone } from "./tap-button.tsx";
import "./tap-button.css";

/** What a hold-to-do button is made of. */
export type HoldToDoButtonProps = {
  readonly children: ComponentChildren;
  readonly onDone: () => void;
  readonly tone?: TapTone;
  /** Extra class of whoever draws it otherwise. */
  readonly look?: string;
  readonly wide?: boolean;
  /** How long it must be held; 900 ms unless told. */
  readonly holdMs?: number;
  /** More than its text says, for a screen reader: what it is done to. */
  readonly name?: string;
  /** False: the words "press and hold" are not shown under the label. */
  readonly hint?: boolean;
};

type Hold = { readonly down: () => void; readonly up: () => void };

const confirmWithinMs = 5000;

/** A button that acts after it was held, with a fill that shows how far it is. */
export function HoldToDoButton(props: HoldToDoButtonProps) {
  const holdMs = props.holdMs ?? 900;
  const [held, setHeld] = useState(false);
  const [asking, setAsking] = useState(false);
  const hold = useHold(holdMs, setHeld, props.onDone);
  const asked = useRef(false);

  function pressWithoutFinger(event: MouseEvent): void {
    // A click that a pointer made counts its presses; a key's click has been prevented.
    if (event.detail > 0) return;
    if (asked.current) {
      asked.current = false;
      setAsking(false);
      props.onDone();
      return;
    }
    asked.current = true;
    setAsking(true);
    announce("Press again to confirm.", "assertive");
    setTimeout(() => {
      asked.current = false;
      setAsking(false);
    }, confirmWithinMs);
  }
  return (
    <button
      type="button"
      class={classes(props, held)}
      title={props.name ?? "Press and hold"}
      onPointerDown={(event) => {
        if (event.button === 0) hold.down();
      }}
      onPointerUp={hold.up}
      onPointerCancel={hold.up}
      onPointerLeave={hold.up}
      onKeyDown={(event) => {
        if (event.key !== "Enter" && event.key !== " ") return;
        event.preventDefault();
        if (!event.repeat) hold.down();
      }}
      onKeyUp={(event) => {
        event.preventDefault();
        hold.up();
      }}
      onBlur={hold.up}
      onContextMenu={(event) => event.preventDefault()}
      onClick={pressWithoutFinger}
    >
      <span
        class="hold-to-do__fill"
        style={{ transitionDuration: `${holdMs}ms` }}
        aria-hidden="true"
      />
      <span class="hold-to-do__words">
        <span>{props.children}</span>{" "}
        {props.hint === false && !asking ? null : (
          <span class="hold-to-do__hint">{asking ? "press again" : "press and hold"}</span>
        )}
      </span>
    </button>
  );
}

function classes(props: HoldToDoButtonProps, held: boolean): string {
  const parts = ["tap", "hold-to-do", `tap--${props.tone ?? "plain"}`];
  if (props.wide === true) parts.push("tap--wide");
  if (props.look !== undefined) parts.push(props.look);
  if (held) parts.push("hold-to-do--held");
  return parts.join(" ");
}

function useHold(holdMs: number, setHeld: (held: boolean) => void, onDone: () => void): Hold {
  const timer = useRef<ReturnType<typeof setTimeout> | null>(null);
  const latest = useRef(onDone);
  latest.current = onDone;

  function up(): void {
    if (timer.current === null) return;
    clearTimeout(timer.current);
    timer.current = null;
    setHeld(false);
  }
  function down(): void {
    if (timer.current !== null) return;
    setHeld(true);
    timer.current = setTimeout(() => {
      timer.current = null;
      setHeld(false);
      latest.current();
    }, holdMs);
  }
  useEffect(
    () => () => {
      if (timer.current !== null) clearTimeout(timer.current);
    },
    [],
  );
  return { down, up };
}
