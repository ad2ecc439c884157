// What is said aloud about a run by itself: holds and real stops at once, releases politely.

import { useEffect, useRef } from "preact/hooks";
import { scopeWords } from "../../machines/views/words.ts";
import type { LiveRun } from "../live/live-run.ts";
import { announce } from "../parts/announce.tsx";

/** Says holds, releases, real stops and resumptions as they come, wherever they come from. */
export function useRunAnnouncements(live: LiveRun): void {
  const state = live.state.value;
  const known = useRef<{ holds: ReadonlySet<string>; stopped: boolean } | null>(null);
  useEffect(() => {
    const standing = new Set(
      Object.entries(state.holds)
        .filter(([, hold]) => hold.state !== "released")
        .map(([id]) => id),
    );
    const before = known.current;
    known.current = { holds: standing, stopped: state.realStop !== null };
    if (state.realStop !== null && before?.stopped !== true) {
      announce("REAL STOP. This is no exercise. Stop work.", "assertive");
    } else if (state.realStop === null && before?.stopped === true) {
      announce("The run is resumed.", "assertive");
    }
    for (const [id, hold] of Object.entries(state.holds)) {
      if (standing.has(id) && before?.holds.has(id) !== true) {
        const word = hold.inject === null ? "Hold" : "Simulated hold";
        announce(`${word}: ${scopeWords(live.index, hold.scope)}. ${hold.reason}`, "assertive");
      } else if (!standing.has(id) && before?.holds.has(id) === true) {
        announce(`Hold released: ${scopeWords(live.index, hold.scope)}.`, "polite");
      }
    }
  }, [live, state]);
}
