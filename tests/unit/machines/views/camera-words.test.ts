import { expect, test } from "vitest";
import { cameraWords } from "../../../../machines/views/camera-words.ts";

// The names that getUserMedia may fail with, of W3C, Media Capture and Streams; from memory.
const failures = [
  "AbortError",
  "NotAllowedError",
  "NotFoundError",
  "NotReadableError",
  "OverconstrainedError",
  "SecurityError",
  "TypeError",
  "no-way",
  "no-reader",
  "SomethingElse",
  "",
];

test.each(failures)("[camera-words 1] %s has words, and the way of the typed code", (failure) => {
  const { says, mend } = cameraWords(failure);
  expect(says).not.toBe("");
  expect(mend).toMatch(/^Type the code instead\./);
});

test("[camera-words 1] refused, missing and in use are told apart", () => {
  const said = ["NotAllowedError", "NotFoundError", "NotReadableError"].map(
    (failure) => cameraWords(failure).says,
  );
  expect(new Set(said).size).toBe(3);
});
