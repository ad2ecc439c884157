// The text of an entry that is hashed, chained and signed, and its digest.
//
// [digest-entry 1] Equal entries have equal texts, whatever the order of their members.

import { canonicalJson } from "../base/canonical-json.ts";
import type { Entry } from "./entry.ts";

/**
 * The canonical JSON (RFC 8785) of an entry: what its digest is taken of.
 *
 * Errors: an assertion if the entry holds what JSON cannot carry; `readEntry` refuses such before.
 */
export function entryText(entry: Entry): string {
  return canonicalJson(entry);
}

/**
 * The digest of an entry, which the same device's next entry carries as `prev`.
 *
 * @param digestHex SHA-256 of a text's UTF-8 bytes, as 64 lower-case hexadecimal digits
 * Errors: as `entryText`.
 */
export function entryDigest(entry: Entry, digestHex: (text: string) => string): string {
  return digestHex(entryText(entry));
}
