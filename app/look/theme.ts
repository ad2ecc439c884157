// Day and night: what the person chose, kept on this device; otherwise what the device prefers.
//
// [look 1] In both themes every text colour has a contrast of at least 7:1 on the grounds it is
//   used on (WCAG 2.2, relative luminance). The colours are in tokens.css.
// [look 2] What is tapped in a run is at least 64 CSS px each way and 16 px from its neighbour, so that
//   a wet or gloved finger hits it and nothing else.

import { signal } from "@preact/signals";
import type { ReadonlySignal } from "@preact/signals";

/** `device`: follow the device's own setting. */
export type Theme = "device" | "day" | "night";

const storageKey = "lanehold.theme";
const chosen = signal<Theme>(readTheme());

/** The theme that was chosen. */
export const theme: ReadonlySignal<Theme> = chosen;

/** Puts the theme on the page and keeps it for the next time. */
export function setTheme(next: Theme): void {
  chosen.value = next;
  showTheme();
  try {
    localStorage.setItem(storageKey, next);
  } catch {
    // A browser that keeps nothing still shows the theme until the page is closed.
  }
}

/** Puts the chosen theme on the page's root element; called once when the page starts. */
export function showTheme(): void {
  const root = document.documentElement;
  if (chosen.value === "device") delete root.dataset["theme"];
  else root.dataset["theme"] = chosen.value;
}

function readTheme(): Theme {
  try {
    const kept = localStorage.getItem(storageKey);
    return kept === "day" || kept === "night" ? kept : "device";
  } catch {
    return "device";
  }
}
