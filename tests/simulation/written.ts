// When each entry was truly written: what the simulation knows, and nobody in it.

import { recordsOnDisk } from "./disk.ts";
import type { Simulation } from "./simulation.ts";

/** Notes the time of every entry that a device wrote since it was noted last. */
export function noteWritten({ devices, clock, written }: Simulation): void {
  for (const device of devices) {
    const { disk, id, skewMs } = device;
    const seq = recordsOnDisk(disk, "heads").find((head) => head.device === id)?.seq ?? 0;
    const before = Math.min(device.notedSeq, seq);
    device.notedSeq = seq;
    if (seq === before) continue;
    for (const entry of recordsOnDisk(disk, "entries")) {
      if (entry.device !== id || entry.seq <= before) continue;
      const name = `${id}:${entry.seq}:${entry.wallMs}`;
      if (!written.has(name)) written.set(name, { trueMs: clock.nowMs(), skewMs });
    }
  }
}
