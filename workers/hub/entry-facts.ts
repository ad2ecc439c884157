// What the hub must find out about entries before it takes them.
//
// The hub takes entries that are beyond their author's rights too: the fold sets those aside on every
// device alike. But only a director's entries have an effect on the hub itself:
// [entry-facts 1] Only a director's device closes a run, admits a device, or makes an inject known as
//   fired.

import type { InjectId } from "../../machines/procedure/ids.ts";
import { entryText } from "../../machines/record/digest-entry.ts";
import type { Entry, EntryName } from "../../machines/record/entry.ts";
import { isForDirectorsOnly } from "../../machines/sync/redact-for-role.ts";
import { sha256Hex } from "../keys/sha-256.ts";
import type { IncomingEntry, RecordStorage, StoredDevice } from "./storage/record-storage.ts";

/**
 * The entries with what the hub must know of them, in the same order.
 *
 * Errors: those of the storage.
 */
export async function findEntryFacts(
  storage: RecordStorage,
  entries: readonly Entry[],
  author: StoredDevice,
): Promise<readonly IncomingEntry[]> {
  const fired = entries.some(({ body }) => body.kind === "inject.cleared")
    ? new Set(await storage.readFiredInjects(author.run))
    : new Set<InjectId>();
  const directorOnlyByName = new Map<string, boolean | undefined>();
  for (const { body } of entries) {
    if (body.kind !== "entry.withdrawn") continue;
    const isDirectorOnly = await storage.isDirectorOnly(author.run, body.withdrawn);
    directorOnlyByName.set(nameText(body.withdrawn), isDirectorOnly);
  }
  return entries.map((entry) => {
    const facts = factsOf(entry, author);
    if (facts.fires !== null) fired.add(facts.fires);
    const isDirectorOnly = isForDirectorsOnly(entry, author.role, {
      isFired: (inject) => fired.has(inject),
      isDirectorOnly: (name) => directorOnlyByName.get(nameText(name)),
    });
    directorOnlyByName.set(nameText(entry), isDirectorOnly);
    const text = entryText(entry);
    return { entry, text, digest: sha256Hex(text), isDirectorOnly, ...facts };
  });
}

function factsOf(
  { body }: Entry,
  { role }: StoredDevice,
): Pick<IncomingEntry, "closesRun" | "admits" | "fires"> {
  const isDirector = role === "director";
  return {
    closesRun: isDirector && body.kind === "run.closed",
    admits: isDirector && body.kind === "device.joined" ? body.joined : null,
    fires: isDirector && body.kind === "inject.fired" ? body.inject : null,
  };
}

function nameText({ device, seq }: EntryName): string {
  return `${device}:${seq}`;
}
