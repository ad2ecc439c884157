// From a button to the record.
//
// [use-tap 1] The same tap again, while the first is being kept, is passed over.
// [use-tap 2] Another tap meanwhile is taken as well: a hold is never lost to a tap before it.

import { useCallback, useRef } from "preact/hooks";
import { canonicalJson } from "../../machines/base/canonical-json.ts";
import type { PositionId } from "../../machines/procedure/ids.ts";
import type { EntryBody } from "../../machines/record/entry.ts";
import type { LiveRun } from "../live/live-run.ts";

/** Puts an entry into the record; the same one again is passed over until it is kept or refused. */
export type Tap = (body: EntryBody, position: PositionId | null) => void;

/** The tap of a screen, the same one while the run is. What could not be kept shows as its refusal. */
export function useTap(live: LiveRun): Tap {
  const underWay = useRef(new Set<string>());
  return useCallback(
    (body, position) => {
      const tapped = canonicalJson([position, body]);
      if (underWay.current.has(tapped)) return;
      underWay.current.add(tapped);
      void live.take(body, position).finally(() => {
        underWay.current.delete(tapped);
      });
    },
    [live],
  );
}
