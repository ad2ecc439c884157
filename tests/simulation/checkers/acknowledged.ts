// Every tap that a person was told was taken is in every replica, as it was taken.

import type { Leftovers } from "./leftovers.ts";

/** What was lost. */
export function checkAcknowledged({ devices, textOf }: Leftovers): readonly string[] {
  const taken = devices.flatMap(({ acknowledged }) => acknowledged);
  return devices.flatMap(({ name, entries }) => {
    const held = new Set(entries.map(textOf));
    return taken
      .filter((entry) => !held.has(textOf(entry)))
      .map(
        (entry) => `every acknowledged tap is there: ${name} lacks ${entry.device}:${entry.seq}`,
      );
  });
}
