// The digest by which an entry is known in its device's chain.

import { entryDigest } from "../../machines/record/digest-entry.ts";
import type { Entry } from "../../machines/record/entry.ts";
import { sha256Hex } from "../keys/sha-256.ts";

/**
 * The digest of an entry; of a stand-in, the digest of the entry that it stands for, so that a chain
 * can be followed over entries that this device may not read yet.
 */
export function chainDigest(entry: Entry): string {
  return isStandIn(entry) ? entry.body.digest : entryDigest(entry, sha256Hex);
}

/** Whether an entry only stands for one that this device may not read yet. */
export function isStandIn(
  entry: Entry,
): entry is Entry & { readonly body: { readonly kind: "entry.withheld" } } {
  return entry.body.kind === "entry.withheld";
}
