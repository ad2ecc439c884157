// Bytes as text that a person can read out: no letter differs from another only by its case.
//
// [base32 1] It is the base32 of RFC 4648 in small letters, without padding.

/** Bytes as base32, in small letters. Errors: none. Source: RFC 4648, section 6. */
export function base32(bytes: Uint8Array): string {
  let text = "";
  let bits = 0;
  let bitCount = 0;
  for (const byte of bytes) {
    bits = (bits << 8) | byte;
    bitCount += 8;
    while (bitCount >= 5) {
      bitCount -= 5;
      text += alphabet[bits >>> bitCount];
      bits &= (1 << bitCount) - 1;
    }
  }
  return bitCount === 0 ? text : text + alphabet[bits << (5 - bitCount)];
}

const alphabet = "abcdefghijklmnopqrstuvwxyz234567";
