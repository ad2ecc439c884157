// The secret that a device shows to the hub for one run.
//
// [token 1] No two are the same, and nobody can guess one.
// [token 2] It is spelled in base64url, so that it can stand in a header.

import { base64Url } from "./base64-url.ts";

/** A new token: 256 random bits as 43 characters of base64url (RFC 4648, section 5), no padding. */
export function createToken(): string {
  return base64Url(crypto.getRandomValues(new Uint8Array(32)));
}
