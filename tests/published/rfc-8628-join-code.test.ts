// RFC 8628, OAuth 2.0 Device Authorization Grant, section 6.1 (User Code Recommendations): a code of
// eight letters of "BCDFGHJKLMNPQRSTVWXZ", shown as "WDJB-MJHT", has 20^8 values, about 34.5 bits; the
// server compares it in one case and without the characters that are not of the alphabet.
// The alphabet, the example and the number of bits are from memory of the RFC's text.

import { expect, test } from "vitest";
import {
  createJoinCode,
  joinCodeAlphabet,
  joinCodeLetters,
  joinCodeShape,
  plainJoinCode,
} from "../../machines/sync/join-code.ts";

test("the alphabet is the RFC's, and a code of eight letters has about 34.5 bits", () => {
  expect(joinCodeAlphabet).toBe("BCDFGHJKLMNPQRSTVWXZ");
  // Log2(20^8) is 34.575; the RFC says "roughly 34.5".
  expect(Math.log2(joinCodeAlphabet.length) * joinCodeLetters).toBeCloseTo(34.575, 2);
});

test("the RFC's example is a code as the hub shows it, and is compared without hyphen and case", () => {
  const example = "WDJB-MJHT";
  expect(joinCodeShape(example, "", [])).toBe(true);
  expect(plainJoinCode(example)).toBe("WDJBMJHT");
  expect(plainJoinCode("wdjb-mjht")).toBe("WDJBMJHT");
  const numbers = Array.from(plainJoinCode(example), (letter) => joinCodeAlphabet.indexOf(letter));
  expect(createJoinCode(() => numbers.shift() ?? 0)).toBe(example);
});
