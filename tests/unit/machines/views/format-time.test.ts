import { expect, test } from "vitest";
import {
  formatPet,
  formatPetMinutes,
  formatSpan,
  formatSpanRange,
} from "../../../../machines/views/format-time.ts";

function check(format: (seconds: number) => string, cases: readonly [number, string][]) {
  for (const [seconds, text] of cases) expect(format(seconds)).toBe(text);
}

test("PET counts hours, minutes and whole seconds, and goes below zero before the start", () => {
  check(formatPet, [
    [0, "0:00:00"],
    [59.9, "0:00:59"],
    [3725, "1:02:05"],
    [-10, "-0:00:10"],
    [36_000, "10:00:00"],
  ]);
  check(formatPetMinutes, [
    [0, "0:00"],
    [89, "0:01"],
    [91, "0:02"],
    [3725, "1:02"],
    [-120, "-0:02"],
  ]);
});

test("spans are as exact as they are short", () => {
  check(formatSpan, [
    [-5, "0 s"],
    [45, "45 s"],
    [60, "1 min"],
    [750, "12 min 30 s"],
    [960, "16 min"],
    [3900, "1 h 05 min"],
    [3599, "1 h 00 min"],
  ]);
});

test("a range names its unit once where it can", () => {
  expect(formatSpanRange(240, 480)).toBe("4 to 8 min");
  expect(formatSpanRange(10, 45)).toBe("10 s to 45 s");
  expect(formatSpanRange(300, 310)).toBe("5 min to 5 min 10 s");
  expect(formatSpanRange(300, 300)).toBe("5 min");
  expect(formatSpanRange(0, 7200)).toBe("0 s to 2 h 00 min");
});
