// What the hub must find out about a segment's entries before it takes it.
//
// The hub takes entries that are beyond their author's rights too: the fold sets those aside on every
// device alike. But only a director's entries have an effect on the hub itself:
// [entry-facts 1] Only a director's device that is not struck off closes a run, admits a device, strikes
//   one off, or makes an inject known as fired.
// [entry-facts 2] What an author wrote whom the hub does not know is hidden as if a director had written
//   it: a director who was let in away from the hub may have.

import type { InjectId } from "../../machines/procedure/ids.ts";
import { entryText } from "../../machines/record/digest-entry.ts";
import type { Entry, EntryName } from "../../machines/record/entry.ts";
import { isForDirectorsOnly } from "../../machines/sync/redact-for-role.ts";
import type { ReadSegment } from "../../machines/sync/segment.ts";
import type { NotedEntry, RecordStorage, StoredDevice } from "./storage/record-storage.ts";

/**
 * Those entries of a segment of which the hub must remember something, with what that is.
 *
 * @param author the segment's device; null: the hub does not know it
 * Errors: those of the storage.
 */
export async function findEntryFacts(
  storage: RecordStorage,
  { head: { run }, entries, digests }: ReadSegment,
  author: StoredDevice | null,
): Promise<readonly NotedEntry[]> {
  const fired = entries.some(({ body }) => body.kind === "inject.cleared")
    ? new Set(await storage.readFiredInjects(run))
    : new Set<InjectId>();
  const directorOnlyByName = new Map<string, boolean | undefined>();
  for (const { body } of entries) {
    if (body.kind !== "entry.withdrawn") continue;
    const isDirectorOnly = await storage.isDirectorOnly(run, body.withdrawn);
    directorOnlyByName.set(nameText(body.withdrawn), isDirectorOnly);
  }
  return entries.flatMap((entry, index) => {
    const effects = effectsOf(entry, author);
    if (effects.fires !== null) fired.add(effects.fires);
    const isDirectorOnly = isForDirectorsOnly(entry, author?.role ?? "director", {
      isFired: (inject) => fired.has(inject),
      isDirectorOnly: (name) => directorOnlyByName.get(nameText(name)),
    });
    directorOnlyByName.set(nameText(entry), isDirectorOnly);
    if (!isDirectorOnly && effects === noEffects) return [];
    const digest = digests[index] ?? "";
    return [{ seq: entry.seq, digest, text: entryText(entry), isDirectorOnly, ...effects }];
  });
}

type Effects = Pick<NotedEntry, "closesRun" | "admits" | "strikesOff" | "fires">;

const noEffects: Effects = { closesRun: false, admits: null, strikesOff: null, fires: null };

function effectsOf({ body }: Entry, author: StoredDevice | null): Effects {
  if (author?.role !== "director" || author.isStruckOff) return noEffects;
  if (body.kind === "run.closed") return { ...noEffects, closesRun: true };
  if (body.kind === "device.joined") return { ...noEffects, admits: body.joined };
  if (body.kind === "device.struck-off") return { ...noEffects, strikesOff: body.struckOff };
  if (body.kind === "inject.fired") return { ...noEffects, fires: body.inject };
  return noEffects;
}

function nameText({ device, seq }: EntryName): string {
  return `${device}:${seq}`;
}
