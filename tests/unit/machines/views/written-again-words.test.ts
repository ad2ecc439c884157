import { expect, test } from "vitest";
import { writtenAgainWords } from "../../../../machines/views/written-again-words.ts";

test.each([
  [1, "This tablet was put back to an older copy; 1 entry was written again."],
  [12, "This tablet was put back to an older copy; 12 entries were written again."],
])("a restored tablet says how many entries were written again: %i", (count, words) => {
  expect(writtenAgainWords(count)).toBe(words);
});
