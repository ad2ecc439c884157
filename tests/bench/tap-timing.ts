// Timing of one tap inside a page: from the browser's stamp on the input to the paint that shows it.

import type { Page } from "playwright-core";

/** Milliseconds since the tap. */
export type TimedTap = {
  /** The write transaction was begun. */
  readonly beganMs: number;
  /** It has completed. */
  readonly durableMs: number;
  /** The document shows it. */
  readonly shownMs: number;
  /** The frame after that was handed over to be drawn. */
  readonly paintedMs: number;
};

/**
 * Clicks the button as a person would and waits until the text of `shown` is another and painted.
 *
 * The page must have been opened with `watchTransactions`.
 */
export async function clickAndTime(page: Page, button: string, shown: string): Promise<TimedTap> {
  await page.evaluate(armTiming, shown);
  await page.locator(button).click();
  return page.evaluate(() => Reflect.get(globalThis, "timedTap") as Promise<TimedTap>);
}

/** In a page, before its own scripts: stamps begin and end of each write to the store. */
export function watchTransactions(store: string): void {
  const begin = Reflect.get(IDBDatabase.prototype, "transaction");
  const stamps = { beganMs: 0, durableMs: 0 };
  Reflect.set(globalThis, "writeStamps", stamps);
  IDBDatabase.prototype.transaction = function beginStamped(...args) {
    const begun = begin.apply(this, args);
    if (begun.mode === "readwrite" && begun.objectStoreNames.contains(store)) {
      const beganMs = performance.now();
      begun.addEventListener("complete", () => {
        Object.assign(stamps, { beganMs, durableMs: performance.now() });
      });
    }
    return begun;
  };
}

// In the page.
function armTiming(selector: string): void {
  const shownNow = () => document.querySelector(selector)?.textContent;
  const before = shownNow();
  const stamps = Reflect.get(globalThis, "writeStamps") as Record<string, number>;
  const timing = new Promise<Record<string, number>>((resolve) => {
    let tappedMs = 0;
    const onClick = (event: Event): void => {
      tappedMs = event.timeStamp;
    };
    addEventListener("click", onClick, { capture: true, once: true });
    const observer = new MutationObserver(() => {
      if (shownNow() === before) return;
      observer.disconnect();
      const shownMs = performance.now();
      // A message that is sent in the frame's own call is taken after the frame.
      const { port1, port2 } = new MessageChannel();
      port1.addEventListener("message", () => {
        const paintedMs = performance.now() - tappedMs;
        port1.close();
        resolve({
          beganMs: (stamps["beganMs"] ?? 0) - tappedMs,
          durableMs: (stamps["durableMs"] ?? 0) - tappedMs,
          shownMs: shownMs - tappedMs,
          paintedMs,
        });
      });
      port1.start();
      requestAnimationFrame(() => port2.postMessage(null));
    });
    observer.observe(document.body, { childList: true, subtree: true, characterData: true });
  });
  Reflect.set(globalThis, "timedTap", timing);
}
