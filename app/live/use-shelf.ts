// Hook: the shelf of this page.

import { useEffect, useState } from "preact/hooks";
import type { TapRefusal } from "./live-run.ts";
import type { LiveShelf } from "./live-shelf.ts";
import { openLiveShelf } from "./open-live-shelf.ts";
import { refusalOf } from "./refusal-of.ts";

/** The shelf that is being opened, is open, or could not be opened. */
export type ShelfOpening =
  | { readonly state: "opening" }
  | { readonly state: "open"; readonly shelf: LiveShelf }
  | { readonly state: "failed"; readonly refusal: TapRefusal };

/** The shelf; one for the whole page. */
export function useShelf(): ShelfOpening {
  const [opening, setOpening] = useState<ShelfOpening>({ state: "opening" });
  useEffect(() => {
    let gone = false;
    const show = (next: ShelfOpening): void => {
      if (!gone) setOpening(next);
    };
    openLiveShelf().then(
      (shelf) => show({ state: "open", shelf }),
      (cause: unknown) => show({ state: "failed", refusal: refusalOf(cause) }),
    );
    return () => {
      gone = true;
    };
  }, []);
  return opening;
}
