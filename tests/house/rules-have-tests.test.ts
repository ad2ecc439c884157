// A rule that a module states at its head, "[order 1] …", stands in the title of a test; and a test
// that names a rule names one that exists.

import { expect, test } from "vitest";
import { readFiles } from "../support/source-files.ts";
import type { SourceFile } from "../support/source-files.ts";

const sources = () => readFiles(/^(app|workers|machines)\/.*\.tsx?$/);
const tests = () => readFiles(/^tests\/(?!house\/).*\.(test|suite)\.tsx?$/);

test("[house 2] every numbered rule has a test that names it", () => {
  const tested = new Set(tests().flatMap(titledRules));
  expect(
    sources()
      .flatMap(statedRules)
      .filter((rule) => !tested.has(rule)),
  ).toEqual([]);
});

test("[house 2] every rule that a test names is stated in a module", () => {
  const stated = new Set(sources().flatMap(statedRules));
  const unknown = tests()
    .flatMap(titledRules)
    .filter((rule) => !stated.has(rule));
  expect(unknown).toEqual([]);
});

test("[house 2] a rule without a test is found", () => {
  expect(statedRules({ path: "a.ts", text: "// [order 9] Nobody tests this.\n" })).toEqual([
    "[order 9]",
  ]);
  expect(titledRules({ path: "a.test.ts", text: 'test("[order 9] is so", () => {});' })).toEqual([
    "[order 9]",
  ]);
});

function statedRules({ text }: SourceFile): readonly string[] {
  return [...text.matchAll(/^(?:\/\/| \*)\s*(\[[a-z][a-z-]* \d+\])/gm)].map(
    (match) => match[1] ?? "",
  );
}

// A title may be given to "test" itself or to a function that calls it, so every text counts that begins
// with a rule, or with several.
function titledRules({ text }: SourceFile): readonly string[] {
  const titles = [...text.matchAll(/["`]((?:\[[a-z][a-z-]* \d+\],? ?)+)/g)];
  return titles.flatMap((match) => (match[1] ?? "").match(/\[[a-z][a-z-]* \d+\]/g) ?? []);
}
