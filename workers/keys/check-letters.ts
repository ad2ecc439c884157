// Eight letters by which two people see at a glance that their tablets trust the same device.
//
// [check-letters 1] The same device has the same letters everywhere.
// [check-letters 2] The letters are those of a join code, four and four: "KLMN-PQRS".
// [check-letters 3] Every sequence of letters is about as likely as any other.

import { joinCodeAlphabet, joinCodeLetters } from "../../machines/sync/join-code.ts";
import type { DeviceId } from "../../machines/record/ids.ts";
import { sha256Bytes } from "./sha-256.ts";

/**
 * The letters of a device's id, for comparing by eye: "KLMN-PQRS".
 *
 * They are the first 48 bits of the id's SHA-256, modulo 20^8: about 34.5 bits. That finds a mix-up and
 * a passer-by's attempt. It does not stop somebody who spends hours of computing on a key with the same
 * letters; the id itself, which a QR carries, does.
 *
 * Errors: none; any text has letters.
 */
export function checkLetters(device: DeviceId): string {
  const digest = sha256Bytes(new TextEncoder().encode(device));
  let number = 0;
  for (const byte of digest.subarray(0, 6)) number = number * 256 + byte;
  let letters = "";
  while (letters.length < joinCodeLetters) {
    letters = (joinCodeAlphabet[number % joinCodeAlphabet.length] ?? "") + letters;
    number = Math.floor(number / joinCodeAlphabet.length);
  }
  return `${letters.slice(0, 4)}-${letters.slice(4)}`;
}
