// Focus that survives a change from elsewhere: when the focused button is gone, focus goes to the
// heading of what it stood in, not to the top of the page.

import type { RefObject } from "preact";
import { useEffect, useRef } from "preact/hooks";

/** Keeps focus within the element: on its `[data-focus-home]` when what had focus is gone. */
export function useKeptFocus(ref: RefObject<HTMLElement | null>): void {
  const last = useRef<Element | null>(null);
  useEffect(() => {
    const root = ref.current;
    if (root === null) return;
    const remember = (event: FocusEvent) => {
      last.current = event.target instanceof Element ? event.target : null;
    };
    const forget = (event: FocusEvent) => {
      if (
        event.target instanceof Element &&
        event.target.isConnected &&
        event.relatedTarget !== null
      ) {
        last.current = null;
      }
    };
    root.addEventListener("focusin", remember);
    root.addEventListener("focusout", forget);
    return () => {
      root.removeEventListener("focusin", remember);
      root.removeEventListener("focusout", forget);
    };
  }, [ref]);
  useEffect(() => {
    if (last.current === null || last.current.isConnected) return;
    last.current = null;
    if (document.activeElement !== document.body && document.activeElement !== null) return;
    ref.current?.querySelector<HTMLElement>("[data-focus-home]")?.focus();
  });
}
