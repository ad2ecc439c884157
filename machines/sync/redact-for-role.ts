// What of the record a device may read: nothing of an inject before it is live.
//
// Definition: an entry is *for directors only* if it arms or grades an inject, withdraws such an entry,
//   or clears an inject that was never fired. A grading is among them because its remark tells what
//   response was expected; a clearing because it names an inject that the crew never saw.
// Definition: a *stand-in* is an entry with the run, device, seq, prev, wall clock and `seen` of the one
//   that it stands for, no position, and the body `entry.withheld` with that one's digest.
// [redact 1] A director's device reads every entry as it is.
// [redact 2] Until the run is closed, any other device reads a stand-in for what is for directors only.
// [redact 3] A stand-in keeps the chain: the digest it carries is the `prev` of the device's next entry.
// [redact 4] Once the run is closed, every device reads every entry as it is.
// [redact 5] A withdrawal of an entry that the hub does not know is for directors only if a director's
//   device wrote it: what it takes back might be. The run's closing brings it out with the others.

import type { InjectId } from "../procedure/ids.ts";
import type { Entry, EntryName, Role } from "../record/entry.ts";
import type { PackedEntries } from "./pack-entries.ts";
import type { Segment } from "./segment.ts";

/** What of the run's entries so far decides whether a further one is for directors only. */
export type KnownForRedaction = {
  /** Injects that a director's device fired. */
  readonly isFired: (inject: InjectId) => boolean;
  /** Whether the entry of that name is for directors only; undefined if it is not known. */
  readonly isDirectorOnly: (name: EntryName) => boolean | undefined;
};

/** Who reads. */
export type EntryReader = { readonly role: Role; readonly isRunClosed: boolean };

/** Whether this reader gets stand-ins for what is for directors only. */
export function readsStandIns({ role, isRunClosed }: EntryReader): boolean {
  return role !== "director" && !isRunClosed;
}

/** An entry that is for directors only. */
export type HiddenEntry = { readonly seq: number; readonly digest: string };

/**
 * The segment with stand-ins for the entries that are hidden. Kinds and positions that only those had are
 * gone from its lists too.
 *
 * Errors: none.
 */
export function hideEntries(segment: Segment, hidden: readonly HiddenEntry[]): Segment {
  const { head, entries } = segment;
  const fromSeq = head.seq - entries.bodies.length + 1;
  const digests = new Map(hidden.map(({ seq, digest }) => [seq - fromSeq, digest]));
  const isSeen = (_: unknown, index: number) => !digests.has(index);
  const shapeNumbers = renumber(entries.bodies.filter(isSeen).map(([shape]) => shape as number));
  const positionNumbers = renumber(entries.position.filter(isSeen).filter((one) => one > 0));
  const packed: PackedEntries = {
    ...entries,
    positions: entries.positions.filter((_, index) => positionNumbers.has(index + 1)),
    position: entries.position.map((position, index) =>
      digests.has(index) || position === 0 ? 0 : (positionNumbers.get(position) ?? 0) + 1,
    ),
    shapes: [
      ...entries.shapes.filter((_, index) => shapeNumbers.has(index)),
      ["entry.withheld", "digest"],
    ],
    bodies: entries.bodies.map(([shape, ...values], index) => {
      const digest = digests.get(index);
      if (digest !== undefined) return [shapeNumbers.size, digest];
      return [shapeNumbers.get(shape as number), ...values];
    }),
  };
  return { ...segment, entries: packed };
}

// New numbers, from 0 and in the same order, for those that are used.
function renumber(used: readonly number[]): ReadonlyMap<number, number> {
  const distinct = [...new Set(used)].sort((a, b) => a - b);
  return new Map(distinct.map((number, index) => [number, index]));
}

/** Whether an entry, written by a device of that role, is for directors only. */
export function isForDirectorsOnly(
  { body }: Entry,
  authorRole: Role,
  known: KnownForRedaction,
): boolean {
  if (body.kind === "inject.armed" || body.kind === "inject.graded") return true;
  if (body.kind === "inject.cleared") return !known.isFired(body.inject);
  if (body.kind !== "entry.withdrawn") return false;
  return known.isDirectorOnly(body.withdrawn) ?? authorRole === "director";
}
