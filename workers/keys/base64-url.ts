// Bytes as text that can stand in a header, an address or a JSON string.
//
// [base64-url 1] It is the base64url of RFC 4648, without padding.
// [base64-url 2] Bytes have one text: another text that some readers would take for it is refused.

/** Bytes as base64url without padding. Errors: none. Source: RFC 4648, section 5. */
export function base64Url(bytes: Uint8Array): string {
  const base64 = btoa(String.fromCharCode(...bytes));
  return base64.replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/**
 * The bytes whose base64url this is; null if it is that of none: another letter, padding, a length that
 * no bytes have, or last bits that are not zero.
 *
 * Errors: none. Source: RFC 4648, sections 3.5 and 5.
 */
export function bytesOfBase64Url(text: string): Uint8Array<ArrayBuffer> | null {
  if (!/^[A-Za-z0-9_-]*$/.test(text) || text.length % 4 === 1) return null;
  const base64 = text.replaceAll("-", "+").replaceAll("_", "/");
  const bytes = Uint8Array.from(atob(base64), (character) => character.charCodeAt(0));
  return base64Url(bytes) === text ? bytes : null;
}
