// Codes that let a device in.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import {
  createJoinCode,
  joinCodeAlphabet,
  joinCodeShape,
  plainJoinCode,
} from "../../../../machines/sync/join-code.ts";

test("[join-code 1] no letter is a vowel, a digit, or there twice", () => {
  expect(joinCodeAlphabet).not.toMatch(/[AEIOUY0-9]/);
  expect(new Set(joinCodeAlphabet).size).toBe(joinCodeAlphabet.length);
});

test("[join-code 2] however a code is typed, it is the same code", () => {
  for (const typed of ["BCDF-GHJK", "bcdf-ghjk", " bcdfghjk ", "B C D F G H J K", "BCDF–GHJK"]) {
    expect(plainJoinCode(typed)).toBe("BCDFGHJK");
  }
  expect(plainJoinCode("BCDF-GHJL")).not.toBe("BCDFGHJK");
});

test("[join-code 3] each number gives its letter, so all codes are as likely as the numbers", () => {
  fc.assert(
    fc.property(fc.array(fc.nat(19), { minLength: 8, maxLength: 8 }), (numbers) => {
      const left = [...numbers];
      const code = createJoinCode((bound) => {
        expect(bound).toBe(20);
        return left.shift() ?? 0;
      });
      expect(joinCodeShape(code, "", [])).toBe(true);
      expect(Array.from(plainJoinCode(code), (letter) => joinCodeAlphabet.indexOf(letter))).toEqual(
        numbers,
      );
    }),
  );
});

test("[join-code 3] a number out of bounds is a mistake of ours", () => {
  expect(() => createJoinCode(() => 20)).toThrow("Assertion failed");
});
