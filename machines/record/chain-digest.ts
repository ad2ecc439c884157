// The digest by which an entry is known in its device's chain.

import { entryDigest } from "./digest-entry.ts";
import type { Entry } from "./entry.ts";

/**
 * The digest of an entry; of a stand-in, the digest of the entry that it stands for, so that a chain
 * can be followed over entries that this device may not read yet.
 *
 * @param digestHex SHA-256 of a text's UTF-8 bytes, as 64 lower-case hexadecimal digits
 * Errors: as `entryText`.
 */
export function chainDigest(entry: Entry, digestHex: (text: string) => string): string {
  return isStandIn(entry) ? entry.body.digest : entryDigest(entry, digestHex);
}

/** Whether an entry only stands for one that this device may not read yet. */
export function isStandIn(
  entry: Entry,
): entry is Entry & { readonly body: { readonly kind: "entry.withheld" } } {
  return entry.body.kind === "entry.withheld";
}
