// From a button to the record: one tap at a time.

import { useRef } from "preact/hooks";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { EntryBody } from "../../machines/record/entry.ts";
import type { LiveRun } from "../live/live-run.ts";

/** Puts an entry into the record; a further tap is passed over until the first is kept or refused. */
export type Tap = (body: EntryBody, position: PositionId | null) => void;

/** The tap of a screen. What could not be kept shows itself as the run's refusal. */
export function useTap(live: LiveRun): Tap {
  const busy = useRef(false);
  return (body, position) => {
    if (busy.current) return;
    busy.current = true;
    void live.take(body, position).finally(() => {
      busy.current = false;
    });
  };
}
