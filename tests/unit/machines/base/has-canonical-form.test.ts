// What has a canonical form, beside what `canonicalJson` takes.

import * as fc from "fast-check";
import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import { hasCanonicalForm } from "../../../../machines/base/has-canonical-form.ts";

function isTaken(value: unknown): boolean {
  try {
    canonicalJson(value);
    return true;
  } catch {
    return false;
  }
}

test.each([
  ['"\\ud800"', false],
  ['"\\udfff\\ud800"', false],
  ['"\\ud83d\\ude42"', true],
  ['"\\\\ud800"', true],
  ['{"\\udead": 1}', false],
  ['{"__proto__": {"a": ["\\udead"]}}', false],
  ['{"__proto__": {"a": []}}', true],
  ["[1e999]", false],
  ["[-1e999, 1]", false],
  ["[1e308, -0]", true],
  [`${"[".repeat(1_002)}${"]".repeat(1_002)}`, false],
  [`${"[".repeat(1_001)}${"]".repeat(1_001)}`, true],
])("[has-canonical-form 1] %.40s: %s", (text, has) => {
  const value: unknown = JSON.parse(text);
  expect(hasCanonicalForm(value)).toBe(has);
  expect(isTaken(value)).toBe(has);
});

test("[has-canonical-form 1] any value that JSON carries", () => {
  const anyPart = fc.string({ unit: fc.constantFrom("\uD83D", "\uDE42", "\\", "u", "d8") });
  const odd = fc.record({ a: fc.oneof(fc.jsonValue(), anyPart), b: fc.array(anyPart) });
  fc.assert(
    fc.property(odd, (value) => {
      expect(hasCanonicalForm(value)).toBe(isTaken(value));
    }),
  );
});
