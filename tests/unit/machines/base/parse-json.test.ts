import * as fc from "fast-check";
import { expect, test } from "vitest";
import { jsonDepthMax, parseJson } from "../../../../machines/base/parse-json.ts";

function nativeValue(text: string): { value: unknown } | null {
  try {
    return { value: JSON.parse(text) };
  } catch {
    return null;
  }
}

test("[parse-json 1] it takes every text that JSON.stringify writes, and gives its value", () => {
  fc.assert(
    fc.property(fc.jsonValue(), fc.constantFrom("", " ", "\t", "\n"), (value, indent) => {
      const text = JSON.stringify(value, null, indent);
      expect(parseJson(text)).toEqual({ value: JSON.parse(text), flaw: null });
    }),
    { numRuns: 1000 },
  );
});

test("[parse-json 1] it takes a damaged text exactly if JSON.parse does and no name is doubled", () => {
  const cut = fc.tuple(fc.jsonValue(), fc.nat(), fc.nat(3), fc.string({ maxLength: 3 }));
  fc.assert(
    fc.property(cut, ([value, at, dropped, put]) => {
      const whole = JSON.stringify(value, null, 1);
      const offset = at % (whole.length + 1);
      const text = whole.slice(0, offset) + put + whole.slice(offset + dropped);
      const { value: own, flaw } = parseJson(text);
      const native = nativeValue(text);
      if (flaw === null) expect({ value: own }).toEqual(native);
      else if (!flaw.says.includes("stands twice")) expect(native).toBeNull();
    }),
    { numRuns: 5000 },
  );
});

test("[parse-json 1] the member __proto__ is a member like any other", () => {
  const { value } = parseJson('{"__proto__": 1}');
  expect(Object.keys(value as object)).toEqual(["__proto__"]);
});

test("[parse-json 1] nesting is taken up to its bound and refused beyond", () => {
  expect(parseJson(nested(jsonDepthMax + 1)).flaw).toBeNull();
  expect(parseJson(nested(jsonDepthMax + 2)).flaw?.says).toContain("too deeply");
  expect(parseJson("[".repeat(1_000_000)).flaw?.says).toContain("too deeply");
});

const flaws: readonly [text: string, line: number, column: number, says: string][] = [
  ["", 1, 1, "the text ends where a value is due"],
  ["\uFEFF{}", 1, 1, "a value is due"],
  ['{\n  "a": 1,\n  "b" 2\n}', 3, 7, "a colon is due"],
  ['{\r\n"a": 1\r\n"b": 2}', 3, 1, "a comma or the end of the object is due"],
  ["[1, 2", 1, 6, "a comma or the end of the list is due"],
  ["[1, ]", 1, 5, "a value is due"],
  ['{"a": 1, "a": 2}', 1, 10, 'the name "a" stands twice in one object'],
  ['{"a": 1,}', 1, 9, "a name in quotes is due"],
  ['["a', 1, 4, "the text ends inside quotes"],
  ['["a\\x"]', 1, 4, "this backslash begins nothing that JSON knows"],
  ['["a\n"]', 1, 4, "a line break, tab or control character may not stand inside quotes"],
  ["{} {}", 1, 4, "the document ends before this"],
  ["01", 1, 2, "the document ends before this"],
];

test.each(flaws)(
  "[parse-json 2] %j breaks at line %i, column %i: %s",
  (text, line, column, says) => {
    expect(parseJson(text).flaw).toEqual({ line, column, says });
  },
);

test("[parse-json 2] no text makes it throw", () => {
  fc.assert(
    fc.property(fc.string({ unit: "binary", maxLength: 60 }), (text) => {
      parseJson(text);
    }),
    { numRuns: 5000 },
  );
});

function nested(depth: number): string {
  return "[".repeat(depth) + "]".repeat(depth);
}
