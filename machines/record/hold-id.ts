// The id of a hold: the device and the seq of the entry that raised it, "<device>:<seq>".

import type { DeviceId, HoldId } from "./ids.ts";
import type { EntryName } from "./entry.ts";

/** The id of the hold that the named entry raised. */
export function holdIdOf(name: EntryName): HoldId {
  return `${name.device}:${name.seq}` as HoldId;
}

/** The name of the entry that raised the hold; undefined if the text is no such id. */
export function holdRaisedBy(hold: HoldId): EntryName | undefined {
  const colon = hold.lastIndexOf(":");
  const seqText = hold.slice(colon + 1);
  const seq = Number(seqText);
  if (colon < 1 || !Number.isSafeInteger(seq) || seq < 1 || String(seq) !== seqText) {
    return undefined;
  }
  return { device: hold.slice(0, colon) as DeviceId, seq };
}
