// Entries as they come to the hub, for its tests: chained, with their digests.

import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import type { InjectId } from "../../../../machines/procedure/ids.ts";
import { entryText } from "../../../../machines/record/digest-entry.ts";
import type { Entry, EntryBody } from "../../../../machines/record/entry.ts";
import type { DeviceId, PublicKeyText, RunId } from "../../../../machines/record/ids.ts";
import { createSegment } from "../../../../machines/sync/segment.ts";
import type {
  IncomingSegment,
  NotedEntry,
} from "../../../../workers/hub/storage/record-storage.ts";
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

/** A segment of them as a storage takes it, written by a director; its signature is nobody's. */
export function incoming(entries: readonly Entry[]): IncomingSegment {
  const [first] = entries;
  const last = entries.at(-1);
  if (first === undefined || last === undefined) throw new Error("a segment has an entry");
  const { run, device, seq: fromSeq, prev } = first;
  const digests = entries.map((entry) => sha256Hex(entryText(entry)));
  const digest = digests.at(-1) ?? "";
  const unsigned = { key: `B${"k".repeat(86)}` as PublicKeyText, signature: "s".repeat(86) };
  const head = { run, device, seq: last.seq, digest, ...unsigned };
  return {
    run,
    device,
    fromSeq,
    toSeq: last.seq,
    prev,
    digests,
    textFrom: (seq) => canonicalJson(createSegment(entries.slice(seq - fromSeq), head)),
    noted: entries.flatMap((entry, index) => notedOf(entry, digests[index] ?? "")),
  };
}

function notedOf(entry: Entry, digest: string): readonly NotedEntry[] {
  const { seq, body } = entry;
  const noted: NotedEntry = {
    seq,
    digest,
    text: entryText(entry),
    isDirectorOnly: body.kind === "inject.armed",
    closesRun: body.kind === "run.closed",
    admits: body.kind === "device.joined" ? body.joined : null,
    strikesOff: body.kind === "device.struck-off" ? body.struckOff : null,
    fires: body.kind === "inject.fired" ? body.inject : null,
  };
  const { isDirectorOnly, closesRun, admits, strikesOff, fires } = noted;
  const isNoted = isDirectorOnly || closesRun || (admits ?? strikesOff ?? fires) !== null;
  return isNoted ? [noted] : [];
}
