// Writing ASN.1 in the distinguished encoding, as far as a certificate needs it.
//
// [der 1] A length below 128 takes one byte, any other as few as it can.
// [der 2] A whole number takes as few bytes as it can, the highest bit of the first saying "negative".
// Source: ITU-T X.690 (2021), sections 8 and 10.

/** A value with its tag and length. Errors: none. */
export function derValue(tag: number, ...parts: readonly Uint8Array[]): Buffer {
  const content = Buffer.concat(parts);
  return Buffer.concat([Buffer.from([tag, ...lengthBytes(content.length)]), content]);
}

/** SEQUENCE of these. */
export function derSequence(...members: readonly Uint8Array[]): Buffer {
  return derValue(0x30, ...members);
}

/** SET of one member. */
export function derSetOf(member: Uint8Array): Buffer {
  return derValue(0x31, member);
}

/** INTEGER, not negative, from its bytes, the highest first. */
export function derInteger(bytes: Uint8Array): Buffer {
  const first = bytes.findIndex((byte) => byte !== 0);
  const digits = first === -1 ? Buffer.from([0]) : Buffer.from(bytes.subarray(first));
  const sign = (digits[0] ?? 0) >= 0x80 ? Buffer.from([0]) : Buffer.alloc(0);
  return derValue(0x02, sign, digits);
}

/** BOOLEAN true; false is left out wherever it is the default. */
export function derTrue(): Buffer {
  return derValue(0x01, Buffer.from([0xff]));
}

/** BIT STRING whose last byte has that many bits unused. */
export function derBitString(bytes: Uint8Array, unusedBits = 0): Buffer {
  return derValue(0x03, Buffer.from([unusedBits]), bytes);
}

/** OCTET STRING. */
export function derOctetString(bytes: Uint8Array): Buffer {
  return derValue(0x04, bytes);
}

/** UTF8String. */
export function derUtf8String(text: string): Buffer {
  return derValue(0x0c, Buffer.from(text, "utf8"));
}

/** OBJECT IDENTIFIER from its dotted form. */
export function derObjectId(dotted: string): Buffer {
  const [first = 0, second = 0, ...others] = dotted.split(".").map(Number);
  return derValue(0x06, Buffer.from([40 * first + second, ...others.flatMap(base128)]));
}

/**
 * Time as a certificate carries it: UTCTime until 2049, then GeneralizedTime.
 *
 * @param atMs milliseconds since 1970; parts of a second are dropped
 * Source: RFC 5280, section 4.1.2.5
 */
export function derTime(atMs: number): Buffer {
  const date = new Date(atMs);
  const digits = date.toISOString().replaceAll(/\.\d+|[-:T]/g, "");
  const isShort = date.getUTCFullYear() < 2050;
  return derValue(isShort ? 0x17 : 0x18, Buffer.from(isShort ? digits.slice(2) : digits, "ascii"));
}

function lengthBytes(length: number): readonly number[] {
  if (length < 128) return [length];
  const bytes: number[] = [];
  for (let rest = length; rest > 0; rest = Math.floor(rest / 256)) bytes.unshift(rest % 256);
  return [0x80 + bytes.length, ...bytes];
}

function base128(value: number): readonly number[] {
  const bytes = [value % 128];
  for (let rest = Math.floor(value / 128); rest > 0; rest = Math.floor(rest / 128))
    bytes.unshift(0x80 + (rest % 128));
  return bytes;
}
