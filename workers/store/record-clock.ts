// Putting what a device learned of its clock into the record.

import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import { appendWithin } from "./append-entry.ts";
import { clockNews, forgetSamples } from "./clock-watch.ts";
import type { Database } from "./database.ts";
import { readLink } from "./read-run.ts";
import { writeDurably } from "./write-durably.ts";

/** Which device, in which run, and its clock now, milliseconds since 1970. */
export type ClockOf = { readonly run: RunId; readonly device: DeviceId; readonly wallMs: number };

/**
 * Records the clock's offset from the hub's, if that is due.
 *
 * @returns how many entries were written
 * Errors: those of `writeDurably`.
 */
export async function recordClockNews(database: Database, of: ClockOf): Promise<number> {
  const { entries, heads, links } = database;
  return writeDurably(database, [entries, heads, links], async () => {
    const link = await readLink(database, of.run);
    const { sample, jumpMs } = clockNews(link, of.wallMs);
    if (sample === null) return 0;
    if (jumpMs !== 0) {
      const body = { kind: "clock.jumped", byMs: jumpMs } as const;
      await appendWithin(database, { ...of, position: null, body });
    }
    const offsetMs = Math.round(sample.offsetMs);
    const roundTripMs = Math.round(sample.roundTripMs);
    const body = { kind: "clock.sampled", offsetMs, roundTripMs } as const;
    await appendWithin(database, { ...of, position: null, body });
    // It counts from now, however old the sample is whose short round trip makes it the best.
    await links.put({ ...link, recorded: { ...sample, wallMs: of.wallMs } });
    return jumpMs === 0 ? 1 : 2;
  });
}

/**
 * Records that the wall clock was set, and forgets what was measured before.
 *
 * @param byMs negative: back; milliseconds
 * Errors: those of `writeDurably`.
 */
export async function recordClockJump(
  database: Database,
  of: ClockOf,
  byMs: number,
): Promise<void> {
  const { entries, heads, links } = database;
  await writeDurably(database, [entries, heads, links], async () => {
    await appendWithin(database, { ...of, position: null, body: { kind: "clock.jumped", byMs } });
    await links.put(forgetSamples(await readLink(database, of.run)));
  });
}
