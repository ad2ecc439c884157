// The one spelling of a JSON value, so that equal values have equal bytes and equal digests.
//
// Definition: the *canonical form* of a value is its JSON text after RFC 8785.
// [canonical-json 1] Two values that differ only in the order of members have one canonical form.
// [canonical-json 2] What JSON cannot carry unharmed is refused, never dropped or replaced:
//   undefined, functions, symbols, bigints, numbers that are not finite, lone surrogates, and
//   objects that are neither plain objects nor arrays.
// The engine's own `JSON.stringify` spells values as the form asks, several times faster than text
// put together here, if every object has its members in order; so the members are brought in order
// first, and only what an object cannot hold in order is spelled piece by piece.

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
  const arranged = arrangedValue(value, 0);
  if (arranged === unarrangeable) return canonicalValue(value, 0);
  const text = JSON.stringify(arranged);
  // A lone surrogate comes out as its escape; so does a text that only looks like one.
  return text.includes("\\ud") ? canonicalValue(value, 0) : text;
}

// Stands for what holds a member that an object cannot hold in order.
const unarrangeable = Symbol("unarrangeable");

// The value, or an equal one, whose objects have their members in order.
function arrangedValue(value: unknown, depth: number): unknown {
  assert(depth <= canonicalJsonDepthMax, "a canonical value is not nested too deeply");
  if (typeof value === "string" || value === null || typeof value === "boolean") return value;
  if (typeof value === "number") {
    assert(Number.isFinite(value), "a canonical number is finite");
    return value;
  }
  assert(typeof value === "object", "JSON holds no undefined, function, symbol or bigint");
  return Array.isArray(value) ? arrangedArray(value, depth) : arrangedObject(value, depth);
}

function arrangedArray(values: readonly unknown[], depth: number): unknown {
  let arranged: unknown[] | null = null;
  // Counting visits the holes of a sparse array too, so that they are refused.
  for (let place = 0; place < values.length; place += 1) {
    const inOrder = arrangedValue(values[place], depth + 1);
    if (inOrder === unarrangeable) return unarrangeable;
    if (inOrder !== values[place]) arranged ??= [...values];
    if (arranged !== null) arranged[place] = inOrder;
  }
  return arranged ?? values;
}

function arrangedObject(object: object, depth: number): unknown {
  assert(isPlain(object), "a canonical object is a plain object");
  const members = object as Readonly<Record<string, unknown>>;
  const names = Object.keys(members);
  const isSorted = isRising(names);
  if (!isSorted) {
    if (names.some(keepsItsPlace)) return unarrangeable;
    // `<` compares strings by UTF-16 code units, as RFC 8785, section 3.2.3 asks; so does `sort`.
    names.sort();
  }
  let arranged: Record<string, unknown> | null = isSorted ? null : {};
  for (const name of names) {
    const inOrder = arrangedValue(members[name], depth + 1);
    if (inOrder === unarrangeable) return unarrangeable;
    if (arranged === null && inOrder !== members[name]) {
      if (names.some(keepsItsPlace)) return unarrangeable;
      arranged = { ...members };
    }
    if (arranged !== null) arranged[name] = inOrder;
  }
  return arranged ?? members;
}

function isRising(names: readonly string[]): boolean {
  for (let place = 1; place < names.length; place += 1) {
    if ((names[place - 1] as string) >= (names[place] as string)) return false;
  }
  return true;
}

// Names that begin with a digit may be indexes, which come first in any object, by number; and
// "__proto__" would not become a member. A member called toJSON is a function, and so refused, or
// none, and so without effect.
function keepsItsPlace(name: string): boolean {
  const first = name.charCodeAt(0);
  return (first >= 48 && first <= 57) || name === "__proto__";
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
  if (prototype === Object.prototype) return true;
  return prototype === null || Object.getPrototypeOf(prototype) === null;
}
