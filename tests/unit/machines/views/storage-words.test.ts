import { expect, test } from "vitest";
import { storageWords } from "../../../../machines/views/storage-words.ts";

// The prefixes are the SI's: BIPM, The International System of Units, 9th edition, table 7.
test.each([
  [0, 4_000_000_000, "0.0 MB used of 4.0 GB that the browser allows."],
  [1_240_000, 999_400_000, "1.2 MB used of 999 MB that the browser allows."],
  [12_400_000, null, "12 MB used."],
  [null, 4_000_000_000, "The browser does not say how much is used."],
])("room in words: %s of %s", (usedBytes, quotaBytes, words) => {
  expect(storageWords({ usedBytes, quotaBytes })).toBe(words);
});
