// Entries as they come to the hub, for its tests: chained, with their digests.

import type { InjectId } from "../../../../machines/procedure/ids.ts";
import { entryText } from "../../../../machines/record/digest-entry.ts";
import type { Entry, EntryBody } from "../../../../machines/record/entry.ts";
import type { DeviceId, RunId } from "../../../../machines/record/ids.ts";
import type { IncomingEntry } from "../../../../workers/hub/storage/record-storage.ts";
import { sha256Hex } from "../../../../workers/keys/sha-256.ts";

/** A chain of entries of one device, of these bodies, from a seq on. */
export function chain(
  { run, device }: { run: RunId; device: DeviceId },
  bodies: readonly EntryBody[],
  before: { seq: number; digest: string } | null = null,
): readonly Entry[] {
  let prev = before?.digest ?? null;
  let seq = before?.seq ?? 0;
  return bodies.map((body) => {
    seq += 1;
    const entry: Entry = {
      run,
      device,
      seq,
      prev,
      wallMs: seq * 1000,
      seen: {},
      position: null,
      body,
    };
    prev = sha256Hex(entryText(entry));
    return entry;
  });
}

/** A note. */
export function note(text: string): EntryBody {
  return { kind: "note.added", text, step: null, oddity: false };
}

/** So many notes, each with its number. */
export function notes(count: number): readonly EntryBody[] {
  return Array.from({ length: count }, (_, index) => note(`note ${index + 1}`));
}

/** Arms an inject: for directors only. */
export function arming(inject: string): EntryBody {
  return { kind: "inject.armed", inject: inject as InjectId, trigger: { byHand: true } };
}

/** Name and digest of a chain's last entry, to go on from. */
export function endOf(entries: readonly Entry[]): { seq: number; digest: string } {
  const last = entries.at(-1);
  if (last === undefined) throw new Error("an empty chain has no end");
  return { seq: last.seq, digest: sha256Hex(entryText(last)) };
}

/** As a storage takes them, written by a director. */
export function incoming(entries: readonly Entry[]): readonly IncomingEntry[] {
  return entries.map((entry) => {
    const { body } = entry;
    const text = entryText(entry);
    return {
      entry,
      text,
      digest: sha256Hex(text),
      isDirectorOnly: body.kind === "inject.armed",
      closesRun: body.kind === "run.closed",
      admits: body.kind === "device.joined" ? body.joined : null,
      fires: body.kind === "inject.fired" ? body.inject : null,
    };
  });
}
