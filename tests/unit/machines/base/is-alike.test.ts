import * as fc from "fast-check";
import { expect, test } from "vitest";
import { canonicalJson } from "../../../../machines/base/canonical-json.ts";
import { isAlike } from "../../../../machines/base/is-alike.ts";

const plain = fc.jsonValue({ maxDepth: 3 });

test("[is-alike 1] plain values are alike exactly if they have one canonical text", () => {
  fc.assert(
    fc.property(plain, plain, (a, b) => {
      expect(isAlike(a, b)).toBe(canonicalJson(a) === canonicalJson(b));
      expect(isAlike(a, structuredClone(a))).toBe(true);
    }),
  );
});

test("[is-alike 1] one member more, less, other or undefined makes another", () => {
  expect(isAlike({ a: 1, b: [1, 2] }, { b: [1, 2], a: 1 })).toBe(true);
  expect(isAlike({ a: 1 }, { a: 1, b: undefined })).toBe(false);
  expect(isAlike({ a: undefined }, { b: undefined })).toBe(false);
  expect(isAlike([1, 2], [1, 2, 3])).toBe(false);
  expect(isAlike([], {})).toBe(false);
  expect(isAlike({ a: { b: 1 } }, { a: { b: 2 } })).toBe(false);
  expect(isAlike(null, {})).toBe(false);
});

const act = (): number => 1;
const other = (): number => 1;

test("[is-alike 1] functions and maps are alike only to themselves", () => {
  expect(isAlike({ act }, { act })).toBe(true);
  expect(isAlike({ act }, { act: other })).toBe(false);
  expect(isAlike(new Map([[1, 2]]), new Map([[1, 2]]))).toBe(false);
});
