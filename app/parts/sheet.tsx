// A sheet laid over the screen for one question. The real stop stays on it, one tap away.

import { createContext } from "preact";
import type { ComponentChildren } from "preact";
import { useContext, useEffect, useId, useRef } from "preact/hooks";
import { TapButton } from "./tap-button.tsx";
import "./sheet.css";

/** What draws the real stop's control on a sheet; the shell gives it. */
export const StopOnSheet = createContext<(() => ComponentChildren) | null>(null);

/** What a sheet is made of. */
export type SheetProps = {
  readonly title: string;
  readonly onClose: () => void;
  readonly children: ComponentChildren;
};

/** A modal sheet: focus goes into it, Escape closes it, and focus returns to where it was. */
export function Sheet({ title, onClose, children }: SheetProps) {
  const ref = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  const stop = useContext(StopOnSheet);
  useEffect(() => {
    const before = document.activeElement;
    ref.current?.showModal();
    return () => {
      if (before instanceof HTMLElement && before.isConnected) before.focus();
    };
  }, []);
  return (
    <dialog
      ref={ref}
      class="sheet"
      aria-labelledby={titleId}
      onCancel={(event) => {
        event.preventDefault();
        onClose();
      }}
    >
      <div class="sheet__inside">
        <div class="sheet__head">
          <h2 id={titleId}>{title}</h2>
          <TapButton onTap={onClose}>Close</TapButton>
        </div>
        {children}
        {stop === null ? null : stop()}
      </div>
    </dialog>
  );
}
