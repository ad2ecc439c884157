// The secret that a device shows to the hub for one run.
//
// [token 1] No two are the same, and nobody can guess one.
// [token 2] It is spelled in base64url, so that it can stand in a header.

/** A new token: 256 random bits as 43 characters of base64url (RFC 4648, section 5), no padding. */
export function createToken(): string {
  return base64Url(crypto.getRandomValues(new Uint8Array(32)));
}

/** Bytes as base64url without padding. Source: RFC 4648, section 5. */
export function base64Url(bytes: Uint8Array): string {
  const base64 = btoa(String.fromCharCode(...bytes));
  return base64.replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}
