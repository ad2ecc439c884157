// Hook: a run that is open on this device.

import { useEffect, useState } from "preact/hooks";
import type { RunId } from "../../machines/record/ids.ts";
import type { LiveRun, TapRefusal } from "./live-run.ts";
import { openLiveRun } from "./open-live-run.ts";
import { refusalOf } from "./refusal-of.ts";

/** A run that is being opened, is open, or could not be opened. */
export type RunOpening =
  | { readonly state: "opening" }
  | { readonly state: "open"; readonly live: LiveRun }
  | { readonly state: "failed"; readonly refusal: TapRefusal };

/** The live run of a component. All components of a page share one live run for each run. */
export function useRun(run: RunId): RunOpening {
  const [opening, setOpening] = useState<RunOpening>({ state: "opening" });
  useEffect(() => {
    let gone = false;
    const show = (next: RunOpening): void => {
      if (!gone) setOpening(next);
    };
    show({ state: "opening" });
    openLiveRun(run).then(
      (live) => show({ state: "open", live }),
      (cause: unknown) => show({ state: "failed", refusal: refusalOf(cause) }),
    );
    return () => {
      gone = true;
    };
  }, [run]);
  return opening;
}
