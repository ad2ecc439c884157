// The one spelling of a JSON value, so that equal values have equal bytes and equal digests.
//
// Definition: the *canonical form* of a value is its JSON text after RFC 8785.
// [canonical-json 1] Two values that differ only in the order of members have one canonical form.
// [canonical-json 2] What JSON cannot carry unharmed is refused, never dropped or replaced:
//   undefined, functions, symbols, bigints, numbers that are not finite, lone surrogates, and
//   objects that are neither plain objects nor arrays.

import { assert } from "./assert.ts";

/** Arrays and objects nested deeper than this are refused, before the stack runs out. */
export const canonicalJsonDepthMax = 1000;

/**
 * The canonical form of a value.
 *
 * Members stand in the order of their names' UTF-16 code units; numbers and strings are spelled as
 * ECMAScript spells them, which is what RFC 8785 asks for; there is no white space.
 *
 * Example: `canonicalJson({ b: 1, a: [true, null] })` is `{"a":[true,null],"b":1}`.
 *
 * Errors: an assertion for what [canonical-json 2] refuses.
 * Source: RFC 8785, section 3.2. Checked in tests/published/rfc-8785-canonical-json.test.ts
 */
export function canonicalJson(value: unknown): string {
  return canonicalValue(value, 0);
}

function canonicalValue(value: unknown, depth: number): string {
  assert(depth <= canonicalJsonDepthMax, "a canonical value is not nested too deeply");
  if (value === null || typeof value === "boolean") {
    return String(value);
  }
  if (typeof value === "number") {
    assert(Number.isFinite(value), "a canonical number is finite");
    return JSON.stringify(value);
  }
  if (typeof value === "string") {
    return canonicalString(value);
  }
  assert(typeof value === "object", `JSON holds no ${typeof value}`);
  return Array.isArray(value) ? canonicalArray(value, depth) : canonicalObject(value, depth);
}

function canonicalString(text: string): string {
  assert(!loneSurrogate.test(text), "a canonical string has no lone surrogate");
  return JSON.stringify(text);
}

const loneSurrogate = /\p{Surrogate}/u;

function canonicalArray(values: readonly unknown[], depth: number): string {
  // `Array.from` visits the holes of a sparse array too, so that they are refused.
  return `[${Array.from(values, (value) => canonicalValue(value, depth + 1)).join(",")}]`;
}

function canonicalObject(object: object, depth: number): string {
  assert(isPlain(object), "a canonical object is a plain object");
  // `<` compares strings by UTF-16 code units, as RFC 8785, section 3.2.3 asks.
  const members = Object.entries(object).sort(([a], [b]) => (a < b ? -1 : 1));
  const texts = members.map(
    ([name, value]) => `${canonicalString(name)}:${canonicalValue(value, depth + 1)}`,
  );
  return `{${texts.join(",")}}`;
}

// Plain in any realm: without a prototype, or with one that has none itself.
function isPlain(object: object): boolean {
  const prototype: unknown = Object.getPrototypeOf(object);
  return prototype === null || Object.getPrototypeOf(prototype) === null;
}
