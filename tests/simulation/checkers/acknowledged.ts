// Every tap that a person was told was taken is in every replica, as it was taken. On a tablet that was put
// back to an older copy of its disk it may have been written once more, at the end of its chain.

import type { Entry } from "../../../machines/record/entry.ts";
import type { Leftovers } from "./leftovers.ts";

/** What was lost. */
export function checkAcknowledged({ devices, textOf }: Leftovers): readonly string[] {
  return devices.flatMap(({ name, entries, isOut }) => {
    const held = new Set(entries.map(textOf));
    const meant = new Set(entries.map((entry) => whatIsMeant(entry, textOf)));
    return devices.flatMap((author) => {
      if (isOut && author.name !== name) return [];
      // Struck off, it could not learn which branch of its chain stands.
      if (author.isOut && author.wasPutBack) return [];
      return author.acknowledged
        .filter((entry) => !held.has(textOf(entry)))
        .filter((entry) => !author.wasPutBack || !meant.has(whatIsMeant(entry, textOf)))
        .map(({ device, seq, body }) => {
          return `every acknowledged tap is there: ${name} lacks ${device}:${seq} ${body.kind}`;
        });
    });
  });
}

// The same however often and under whatever number it was written.
function whatIsMeant(entry: Entry, textOf: (entry: Entry) => string): string {
  return textOf({ ...entry, seq: 1, prev: null, seen: {} });
}
