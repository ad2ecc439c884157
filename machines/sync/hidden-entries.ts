// Which entries of a record are for directors only, for a device that holds it and hands it on.

import { admitDevices, authorAt } from "../record/admit-devices.ts";
import { chainDigest } from "../record/chain-digest.ts";
import type { Entry, EntryName } from "../record/entry.ts";
import type { InjectId } from "../procedure/ids.ts";
import type { DeviceId } from "../record/ids.ts";
import { orderEntries } from "../record/order-entries.ts";
import { isForDirectorsOnly } from "./redact-for-role.ts";
import type { HiddenEntry } from "./redact-for-role.ts";

/**
 * The entries that are for directors only until the run is closed, by device; none once a director has
 * closed it. What the record does not say for certain counts as for directors only.
 *
 * @param digestHex as for `chainDigest`
 * Errors: as `chainDigest`.
 */
export function findHiddenEntries(
  entries: Iterable<Entry>,
  digestHex: (text: string) => string,
): ReadonlyMap<DeviceId, readonly HiddenEntry[]> {
  const { ordered } = orderEntries(entries);
  const admissions = admitDevices(ordered);
  const fired = new Set<InjectId>();
  const directorOnly = new Map<string, boolean>();
  const hidden = new Map<DeviceId, HiddenEntry[]>();
  for (const [place, { entry }] of ordered.entries()) {
    const { role } = authorAt(admissions, entry.device, place);
    const { body, device, seq } = entry;
    if (role === "director" && body.kind === "run.closed") return new Map();
    if (role === "director" && body.kind === "inject.fired") fired.add(body.inject);
    const isHidden = isForDirectorsOnly(entry, role ?? "director", {
      isFired: (inject) => fired.has(inject),
      isDirectorOnly: (name) => directorOnly.get(nameText(name)),
    });
    directorOnly.set(nameText(entry), isHidden);
    if (!isHidden) continue;
    const ofDevice = hidden.get(device) ?? [];
    hidden.set(device, [...ofDevice, { seq, digest: chainDigest(entry, digestHex) }]);
  }
  return hidden;
}

function nameText({ device, seq }: EntryName): string {
  return `${device}:${seq}`;
}
