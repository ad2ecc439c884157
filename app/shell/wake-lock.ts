// Keeps the screen awake while a run is on it.

import { signal } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";
import { useEffect } from "preact/hooks";

/** `held`: stays awake; `refused`: the browser said no; `absent`: it can't; `off`: not asked. */
export type WakeState = "off" | "held" | "refused" | "absent";

const state = signal<WakeState>("off");

/** Whether the screen is kept awake. */
export const wakeState: ReadonlySignal<WakeState> = state;

/** Holds the screen awake while the component stands; asks again whenever the page comes back. */
export function useWakeLock(): void {
  useEffect(() => {
    if (!("wakeLock" in navigator)) {
      state.value = "absent";
      return;
    }
    let sentinel: WakeLockSentinel | null = null;
    let gone = false;
    const hold = async () => {
      if (document.visibilityState !== "visible") return;
      try {
        const lock = await navigator.wakeLock.request("screen");
        if (gone) return await lock.release();
        sentinel = lock;
        state.value = "held";
        lock.addEventListener("release", () => {
          if (!gone && sentinel === lock) state.value = "refused";
        });
      } catch {
        if (!gone) state.value = "refused";
      }
    };
    const ask = () => void hold();
    ask();
    document.addEventListener("visibilitychange", ask);
    return () => {
      gone = true;
      document.removeEventListener("visibilitychange", ask);
      void sentinel?.release();
      state.value = "off";
    };
  }, []);
}
