// RFC 8785, JSON Canonicalization Scheme (A. Rundgren, B. Jordan, S. Erdtman, June 2020).
//
// Numbers: appendix B, table of samples, read in third-party copies. Objects and arrays: the scheme's
// published test data (arrays, french, structures, values, weird), as the npm package `canonicalize`
// ships them; values.json is the example of section 3.2.2 and weird.json that of section 3.2.3. That package, by one of the RFC's
// authors, is also the oracle for random values.

import { readFileSync } from "node:fs";
import canonicalize from "canonicalize";
import * as fc from "fast-check";
import { expect, test } from "vitest";
import { canonicalJson } from "../../machines/base/canonical-json.ts";

const numbers: readonly [bits: string, spelled: string][] = [
  ["0000000000000000", "0"],
  ["8000000000000000", "0"],
  ["0000000000000001", "5e-324"],
  ["8000000000000001", "-5e-324"],
  ["7fefffffffffffff", "1.7976931348623157e+308"],
  ["ffefffffffffffff", "-1.7976931348623157e+308"],
  ["4340000000000000", "9007199254740992"],
  ["c340000000000000", "-9007199254740992"],
  ["4430000000000000", "295147905179352830000"],
  ["44b52d02c7e14af5", "9.999999999999997e+22"],
  ["44b52d02c7e14af6", "1e+23"],
  ["44b52d02c7e14af7", "1.0000000000000001e+23"],
  ["444b1ae4d6e2ef4e", "999999999999999700000"],
  ["444b1ae4d6e2ef4f", "999999999999999900000"],
  ["444b1ae4d6e2ef50", "1e+21"],
  ["3eb0c6f7a0b5ed8c", "9.999999999999997e-7"],
  ["3eb0c6f7a0b5ed8d", "0.000001"],
  ["41b3de4355555553", "333333333.3333332"],
  ["41b3de4355555554", "333333333.33333325"],
  ["41b3de4355555555", "333333333.3333333"],
  ["41b3de4355555556", "333333333.3333334"],
  ["41b3de4355555557", "333333333.33333343"],
  ["becbf647612f3696", "-0.0000033333333333333333"],
  ["43143ff3c1cb0959", "1424953923781206.2"],
];

function numberOfBits(bits: string): number {
  return Buffer.from(bits, "hex").readDoubleBE();
}

test.each(numbers)("[canonical-json] the double %s is spelled %s", (bits, spelled) => {
  expect(canonicalJson(numberOfBits(bits))).toBe(spelled);
});

test.each(["7fffffffffffffff", "7ff0000000000000", "fff0000000000000"])(
  "[canonical-json 2] the double %s is no JSON and is refused",
  (bits) => {
    expect(() => canonicalJson(numberOfBits(bits))).toThrow("finite");
  },
);

function testData(name: string): string {
  const file = `../../node_modules/canonicalize/test/testdata/${name}.json`;
  return readFileSync(new URL(file, import.meta.url), "utf8");
}

test.each(["arrays", "french", "structures", "values", "weird"])(
  "[canonical-json 1] the scheme's test data %s comes out as published",
  (name) => {
    // One of the files ends in a line break that is not part of the form.
    const published = testData(`output/${name}`).replace(/\n$/, "");
    expect(canonicalJson(JSON.parse(testData(`input/${name}`)))).toBe(published);
  },
);

test("[canonical-json 1] random values come out as the package by the RFC's author spells them", () => {
  const strings = fc.string({ unit: "binary" }).filter((text) => !/\p{Surrogate}/u.test(text));
  const values = fc.anything({
    key: strings,
    values: [
      strings,
      fc.double({ noNaN: true, noDefaultInfinity: true }),
      fc.boolean(),
      fc.constant(null),
    ],
  });
  fc.assert(
    fc.property(values, (value) => {
      expect(canonicalJson(value)).toBe(canonicalize(value));
    }),
    { numRuns: 3000 },
  );
});

// Names that objects keep in an order of their own or treat apart, texts that look like escapes.
const odd = fc.constantFrom(
  "a",
  "b",
  "z",
  "9",
  "10",
  "01",
  "1e3",
  "__proto__",
  "toJSON",
  "\u20ac",
  "\\ud800",
  "",
);
const oddValue = fc.letrec((tie) => ({
  value: fc.oneof(
    { maxDepth: 4 },
    fc.constantFrom<unknown>(null, true, -0, 1e21, 0.000001, "\\ud800", "\\\\udfff"),
    odd,
    fc.array(tie("value"), { maxLength: 4 }),
    fc
      .array(fc.tuple(odd, tie("value")), { maxLength: 6 })
      .map((members) => Object.fromEntries(members) as Record<string, unknown>),
  ),
}));

test("[canonical-json 1] names that objects treat apart are spelled as `canonicalize` spells them", () => {
  fc.assert(
    fc.property(oddValue.value, (value) => {
      expect(canonicalJson(value)).toBe(canonicalize(value));
    }),
    { numRuns: 3000 },
  );
});
