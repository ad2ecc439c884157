// A clock that tests turn by hand.

import type { Clock } from "../../../../workers/hub/clock.ts";

/** Stands still until `pass` is called, which also runs the timers that fall due, in order. */
export type HandClock = Clock & { readonly pass: (milliseconds: number) => void };

/** A clock that shows this time, in milliseconds since 1970. */
export function handClock(startMs = 1_700_000_000_000): HandClock {
  let nowMs = startMs;
  const timers = new Set<{ readonly periodMs: number; dueMs: number; readonly act: () => void }>();
  return {
    nowMs: () => nowMs,
    every(periodMs, act) {
      const timer = { periodMs, dueMs: nowMs + periodMs, act };
      timers.add(timer);
      return () => timers.delete(timer);
    },
    pass(milliseconds) {
      const endMs = nowMs + milliseconds;
      for (;;) {
        const due = [...timers].filter((timer) => timer.dueMs <= endMs);
        const [next] = due.toSorted((a, b) => a.dueMs - b.dueMs);
        if (next === undefined) break;
        nowMs = next.dueMs;
        next.dueMs += next.periodMs;
        next.act();
      }
      nowMs = endMs;
    },
  };
}
