// The identity of a document: the same for the same content, whatever the white space, the order of
// members or the spelling of numbers in its text.

import { canonicalJson } from "../base/canonical-json.ts";
import type { Identity } from "./ids.ts";

/**
 * The identity of a procedure or an inject script: the digest of its canonical form.
 *
 * A run pins it; a document that differs in any value is another revision.
 *
 * @param digestHex SHA-256 of a text's UTF-8 bytes, as 64 lower-case hexadecimal digits; it comes
 *   in because machines hold no cryptography
 * Errors: an assertion if the document is no JSON value.
 * Source: RFC 8785 for the canonical form.
 */
export function procedureIdentity(
  document: unknown,
  digestHex: (text: string) => string,
): Identity {
  return digestHex(canonicalJson(document)) as Identity;
}
