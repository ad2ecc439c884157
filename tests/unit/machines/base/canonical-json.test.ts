import { expect, test } from "vitest";
import { canonicalJson, canonicalJsonDepthMax } from "../../../../machines/base/canonical-json.ts";

test("[canonical-json 1] the order of members does not matter", () => {
  expect(canonicalJson({ b: 1, a: [true, null] })).toBe('{"a":[true,null],"b":1}');
  expect(canonicalJson({ a: [true, null], b: 1 })).toBe('{"a":[true,null],"b":1}');
});

test("[canonical-json 1] members named like numbers are sorted as text", () => {
  expect(canonicalJson({ 9: 1, 10: 2 })).toBe('{"10":2,"9":1}');
});

const refused: [what: string, value: unknown][] = [
  ["undefined", undefined],
  ["a member that is undefined", { a: undefined }],
  ["a hole in an array", Array.from({ length: 1 })],
  ["NaN", [Number.NaN]],
  ["an infinite number", -Infinity],
  ["a lone surrogate", "a\ud800"],
  ["a lone surrogate in a name", { "\udc00": 1 }],
  ["a bigint", 1n],
  ["a function", () => 1],
  ["a symbol", Symbol("a")],
  ["a map", new Map()],
  ["a pattern", /a/],
  ["bytes", new Uint8Array(1)],
];

test.each(refused)("[canonical-json 2] %s is refused", (_what, value) => {
  expect(() => canonicalJson(value)).toThrow("Assertion failed");
});

test("[canonical-json 2] nesting is taken up to its bound and refused beyond", () => {
  expect(canonicalJson(nested(canonicalJsonDepthMax))).toHaveLength(2 * canonicalJsonDepthMax + 1);
  expect(() => canonicalJson(nested(canonicalJsonDepthMax + 1))).toThrow("nested");
});

function nested(depth: number): unknown {
  let value: unknown = 1;
  for (let level = 0; level < depth; level += 1) value = [value];
  return value;
}
