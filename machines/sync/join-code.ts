// The code that lets one device into a run, once: short enough to be called across a hall.
//
// [join-code 1] Its letters cannot be taken for one another or for digits, and spell no word, for they
//   hold no vowel.
// [join-code 2] However it is typed (small letters, no hyphen, spaces), it is the same code.
// [join-code 3] Every code is as likely as any other, if the numbers that come in are.

import { assert } from "../base/assert.ts";
import { matching } from "../procedure/read-shape.ts";

/** The letters of a code. Source: RFC 8628, section 6.1. Checked in tests/published/rfc-8628-join-code.test.ts */
export const joinCodeAlphabet = "BCDFGHJKLMNPQRSTVWXZ";
/** How many letters a code has. */
export const joinCodeLetters = 8;

/**
 * A new code as it is shown: "BCDF-GHJK".
 *
 * @param randomBelow a random whole number from 0 to one less than its argument, each as likely
 * Errors: an assertion if that number is out of bounds.
 */
export function createJoinCode(randomBelow: (bound: number) => number): string {
  const letters = Array.from({ length: joinCodeLetters }, () => {
    const letter = joinCodeAlphabet[randomBelow(joinCodeAlphabet.length)];
    assert(letter !== undefined, "a random number is below its bound");
    return letter;
  });
  return [letters.slice(0, 4).join(""), letters.slice(4).join("")].join("-");
}

/**
 * The letters of a code that somebody typed: "bcdf ghjk" is "BCDFGHJK".
 *
 * Errors: none; what cannot be a code comes back as it would be compared, and matches none.
 */
export function plainJoinCode(typed: string): string {
  return typed.replaceAll(/[\s\u2010-\u2015-]/g, "").toUpperCase();
}

/** A code as the hub shows it. */
export const joinCodeShape = matching<string>(
  /^[B-DF-HJ-NP-TV-XZ]{4}-[B-DF-HJ-NP-TV-XZ]{4}$/,
  "a code such as BCDF-GHJK",
);
