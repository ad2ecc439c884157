// Work that may wait until the person has seen what they did.
//
// [after-paint 1] What is put off is done once, and within half a second, painted or not.
// [after-paint 2] Nothing is put off in a window that is hidden, for it may be about to end.

const waitMsMax = 500;

/** Does the work after the next paint; at once where there is none to wait for. Errors: the work's. */
export function afterPaint(work: () => void): void {
  if (typeof requestAnimationFrame === "undefined" || document.visibilityState === "hidden") {
    work();
    return;
  }
  const done = new AbortController();
  const act = (): void => {
    if (done.signal.aborted) return;
    done.abort();
    clearTimeout(timer);
    work();
  };
  const timer = setTimeout(act, waitMsMax);
  const { signal } = done;
  document.addEventListener("visibilitychange", act, { signal });
  // A frame's own callback comes before its paint; a task from it, after.
  requestAnimationFrame(() => setTimeout(act));
}
