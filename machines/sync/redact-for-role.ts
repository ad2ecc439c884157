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

/** What of the run's entries so far decides whether a further one is for directors only. */
export type KnownForRedaction = {
  /** Injects that a director's device fired. */
  readonly isFired: (inject: InjectId) => boolean;
  /** Whether the entry of that name is for directors only; undefined if it is not known. */
  readonly isDirectorOnly: (name: EntryName) => boolean | undefined;
};

/** Who reads. */
export type EntryReader = { readonly role: Role; readonly isRunClosed: boolean };

/** The entry as this reader may see it. `digest`: the entry's. */
export function redactForRole(
  { entry, digest, isDirectorOnly }: ListedForRedaction,
  reader: EntryReader,
): Entry {
  const isHidden = isDirectorOnly && reader.role !== "director" && !reader.isRunClosed;
  return isHidden ? standIn(entry, digest) : entry;
}

/** An entry, its digest, and whether it is for directors only. */
export type ListedForRedaction = {
  readonly entry: Entry;
  readonly digest: string;
  readonly isDirectorOnly: boolean;
};

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

function standIn(entry: Entry, digest: string): Entry {
  return { ...entry, position: null, body: { kind: "entry.withheld", digest } };
}
