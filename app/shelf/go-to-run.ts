// From the shelf into a run.

import type { RunId } from "../../machines/record/ids.ts";

/** Goes to a run: to a screen of it, or to the one that suits the device's role. */
export function goToRun(run: RunId, screen: "lane" | "desk" | null): void {
  location.hash = `#/run/${encodeURIComponent(run)}${screen === null ? "" : `/${screen}`}`;
}
