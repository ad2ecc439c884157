// A small language to describe the shape of what comes in, and to check it, all faults at once.
//
// Definition: a *shape* is a check of a JSON value. It adds a fault for everything that is wrong,
//   each at its place, and tells whether it found nothing.
// [read-shape 1] A shape never throws and never changes the value.
// [read-shape 2] It finds every fault of its value at once; a member that is missing or of the
//   wrong type hides only what would have been inside it.
// [read-shape 3] A member that no shape knows is a fault.
//
// Example:
//   const pointShape = object({ x: number(), y: number(), name: nullable(text) });
//   type Point = ShapeValue<typeof pointShape>;
//   const { value, faults } = readShape(pointShape, JSON.parse(message));

import type { Fault } from "./fault.ts";

/**
 * Checks that a value is a `Value`; adds what is wrong to `faultsMutable`, with paths from `path`
 * on.
 */
export type Shape<Value> = (value: unknown, path: string, faultsMutable: Fault[]) => value is Value;

/** The type that a shape checks for. */
export type ShapeValue<Of> = Of extends Shape<infer Value> ? Value : never;

/** What was read: the value itself if nothing is wrong with it, else null and every fault. */
export type ShapeReading<Value> =
  | { readonly value: Value; readonly faults: readonly [] }
  | { readonly value: null; readonly faults: readonly Fault[] };

/**
 * Checks a whole value.
 *
 * Errors: none; faults are in the result.
 */
export function readShape<Value>(shape: Shape<Value>, value: unknown): ShapeReading<Value> {
  const faults: Fault[] = [];
  return shape(value, "", faults) ? { value, faults: [] } : { value: null, faults };
}

/** An object with exactly these members. */
export function object<Members extends Record<string, Shape<unknown>>>(
  members: Members,
): Shape<{ readonly [Name in keyof Members]: ShapeValue<Members[Name]> }> {
  type Value = { readonly [Name in keyof Members]: ShapeValue<Members[Name]> };
  const names = Object.keys(members);
  const steps = names.map((name) => ({ name, step: pointer("", name), shape: members[name] }));
  function isObjectOfMembers(value: unknown, path: string, faults: Fault[]): value is Value {
    if (!isObject(value)) return wrongType(value, "an object", path, faults);
    const faultsBefore = faults.length;
    for (const { name, step, shape } of steps) {
      if (Object.hasOwn(value, name)) {
        shape?.(value[name], path + step, faults);
      } else {
        faults.push(missingMember(name, path));
      }
    }
    const isAsMany = Object.keys(value).length === names.length;
    if (!isAsMany || faults.length > faultsBefore) addUnknownMembers(value, names, path, faults);
    return faults.length === faultsBefore;
  }
  return isObjectOfMembers;
}

/** An object with any of these names as members, each of one shape. */
export function record<Name extends string, Value>(
  names: readonly Name[],
  shape: Shape<Value>,
): Shape<Readonly<Partial<Record<Name, Value>>>> {
  type Values = Readonly<Partial<Record<Name, Value>>>;
  function isRecord(value: unknown, path: string, faults: Fault[]): value is Values {
    if (!isObject(value)) return wrongType(value, "an object", path, faults);
    const faultsBefore = faults.length;
    for (const name of names) {
      if (Object.hasOwn(value, name)) shape(value[name], pointer(path, name), faults);
    }
    addUnknownMembers(value, names, path, faults);
    return faults.length === faultsBefore;
  }
  return isRecord;
}

/** An array of values of one shape, at least `atLeast` of them (0 unless told). */
export function list<Value>(shape: Shape<Value>, atLeast = 0): Shape<readonly Value[]> {
  function isList(value: unknown, path: string, faults: Fault[]): value is readonly Value[] {
    if (!Array.isArray(value)) return wrongType(value, "a list", path, faults);
    const faultsBefore = faults.length;
    if (value.length < atLeast) {
      faults.push({
        path,
        code: "too-few",
        says: `This list has ${value.length} entries; at least ${atLeast} are needed.`,
        mend: "Add what is missing.",
      });
    }
    for (let index = 0; index < value.length; index += 1) {
      shape(value[index], `${path}/${index}`, faults);
    }
    return faults.length === faultsBefore;
  }
  return isList;
}

/** Null, or a value of the shape. */
export function nullable<Value>(shape: Shape<Value>): Shape<Value | null> {
  function isNullOr(value: unknown, path: string, faults: Fault[]): value is Value | null {
    return value === null || shape(value, path, faults);
  }
  return isNullOr;
}

/** One of these strings. */
export function oneOf<const Value extends string>(values: readonly Value[]): Shape<Value> {
  const allowed: ReadonlySet<unknown> = new Set(values);
  function isOneOf(value: unknown, path: string, faults: Fault[]): value is Value {
    if (typeof value !== "string") return wrongType(value, "text", path, faults);
    if (allowed.has(value)) return true;
    return refuse(faults, {
      path,
      code: "not-in-list",
      says: `${quote(value)} is none of the words that may stand here.`,
      mend: `Use one of: ${values.join(", ")}.`,
    });
  }
  return isOneOf;
}

/** Exactly this value. */
export function exactly<const Value extends string | number | boolean>(
  expected: Value,
): Shape<Value> {
  function isExactly(value: unknown, path: string, faults: Fault[]): value is Value {
    if (value === expected) return true;
    return refuse(faults, {
      path,
      code: "not-this-value",
      says: `Only ${JSON.stringify(expected)} may stand here.`,
      mend: `Write ${JSON.stringify(expected)}.`,
    });
  }
  return isExactly;
}

/** Bounds of a number; a bound that is left out does not hold. */
export type NumberBounds = {
  readonly min?: number;
  readonly max?: number;
  /** The number must be greater than this. */
  readonly above?: number;
};

/** A finite number within bounds. */
export function number(bounds: NumberBounds = {}): Shape<number> {
  function isNumber(value: unknown, path: string, faults: Fault[]): value is number {
    if (typeof value !== "number") return wrongType(value, "a number", path, faults);
    return Number.isFinite(value) && isWithin(value, bounds)
      ? true
      : outOfRange(value, `a number${boundsText(bounds)}`, path, faults);
  }
  return isNumber;
}

/** A whole number within bounds; it is exact, so at most 2^53 - 1. */
export function wholeNumber(bounds: NumberBounds = {}): Shape<number> {
  function isWholeNumber(value: unknown, path: string, faults: Fault[]): value is number {
    if (typeof value !== "number") return wrongType(value, "a whole number", path, faults);
    return Number.isSafeInteger(value) && isWithin(value, bounds)
      ? true
      : outOfRange(value, `a whole number${boundsText(bounds)}`, path, faults);
  }
  return isWholeNumber;
}

/** True or false. */
export function truth(value: unknown, path: string, faults: Fault[]): value is boolean {
  return typeof value === "boolean" || wrongType(value, "true or false", path, faults);
}

/** Text that may be empty. */
export function anyText(value: unknown, path: string, faults: Fault[]): value is string {
  if (typeof value !== "string") return wrongType(value, "text", path, faults);
  if (!loneSurrogate.test(value)) return true;
  return refuse(faults, {
    path,
    code: "broken-text",
    says: "This text holds half of a character, which no file can keep.",
    mend: "Type the text anew.",
  });
}

const loneSurrogate = /\p{Surrogate}/u;

/** Text with something to read in it. */
export function text(value: unknown, path: string, faults: Fault[]): value is string {
  if (!anyText(value, path, faults)) return false;
  if (/\S/.test(value)) return true;
  return refuse(faults, {
    path,
    code: "empty-text",
    says: "This text is empty.",
    mend: "Say here what a person needs to read.",
  });
}

/** Text of a form: `what` names the form in the fault's sentence ("64 hexadecimal digits"). */
export function matching<Value extends string>(pattern: RegExp, what: string): Shape<Value> {
  function isMatching(value: unknown, path: string, faults: Fault[]): value is Value {
    if (typeof value !== "string") return wrongType(value, "text", path, faults);
    if (pattern.test(value)) return true;
    return refuse(faults, {
      path,
      code: "wrong-form",
      says: `${quote(value)} is not ${what}.`,
      mend: `Write ${what}.`,
    });
  }
  return isMatching;
}

/** An id: letters, digits, dots, hyphens and underscores, a letter or digit first, at most 64. */
export function id<Id extends string>(): Shape<Id> {
  return matching<Id>(
    /^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/,
    "an id: at most 64 letters, digits, dots, hyphens and underscores, a letter or digit first",
  );
}

/** An object whose member `key` says which of the shapes it has. */
export function variants<Shapes extends Record<string, Shape<unknown>>>(
  key: string,
  shapes: Shapes,
): Shape<ShapeValue<Shapes[keyof Shapes]>> {
  type Value = ShapeValue<Shapes[keyof Shapes]>;
  const isName = oneOf(Object.keys(shapes));
  const step = pointer("", key);
  function isVariant(value: unknown, path: string, faults: Fault[]): value is Value {
    if (!isObject(value)) return wrongType(value, "an object", path, faults);
    if (!Object.hasOwn(value, key)) return refuse(faults, missingMember(key, path));
    const name = value[key];
    if (!isName(name, path + step, faults)) return false;
    return shapes[name]?.(value, path, faults) === true;
  }
  return isVariant;
}

/** An object that has one of these members, and by it the shape of that member's name. */
export function byMember<Shapes extends Record<string, Shape<unknown>>>(
  shapes: Shapes,
): Shape<ShapeValue<Shapes[keyof Shapes]>> {
  type Value = ShapeValue<Shapes[keyof Shapes]>;
  const names = Object.keys(shapes);
  function isByMember(value: unknown, path: string, faults: Fault[]): value is Value {
    if (!isObject(value)) return wrongType(value, "an object", path, faults);
    const name = names.find((candidate) => Object.hasOwn(value, candidate));
    if (name !== undefined) return shapes[name]?.(value, path, faults) === true;
    return refuse(faults, {
      path,
      code: "missing-member",
      says: `This object has none of the members that may stand here: ${names.join(", ")}.`,
      mend: `Add one of: ${names.join(", ")}.`,
    });
  }
  return isByMember;
}

/**
 * A JSON Pointer with one more step: `pointer("/steps", "3")` is "/steps/3". Half of a character in a
 * member's name is shown as U+FFFD, so that the fault that it stands in can be sent on.
 *
 * Source: RFC 6901, section 3, for the escapes.
 */
export function pointer(path: string, member: string): string {
  // Hardly any member needs it, and of every member of a large record a pointer is made.
  if (!isStrange.test(member)) return `${path}/${member}`;
  const shown = member.replaceAll(halfCharacters, "\uFFFD");
  return `${path}/${shown.replaceAll("~", "~0").replaceAll("/", "~1")}`;
}

const isStrange = /[~/\p{Surrogate}]/u;
const halfCharacters = /\p{Surrogate}/gu;

/** Whether a value is an object with members, neither null nor an array. */
export function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function addUnknownMembers(
  value: object,
  names: readonly string[],
  path: string,
  faultsMutable: Fault[],
): void {
  for (const name of Object.keys(value)) {
    if (names.includes(name)) continue;
    faultsMutable.push({
      path: pointer(path, name),
      code: "unknown-member",
      says: `Nothing called ${quote(name)} belongs here.`,
      mend: `Remove it, or use one of: ${names.join(", ")}.`,
    });
  }
}

function missingMember(name: string, path: string): Fault {
  return {
    path,
    code: "missing-member",
    says: `${quote(name)} is missing.`,
    mend: `Add ${quote(name)}.`,
  };
}

function wrongType(value: unknown, needed: string, path: string, faults: Fault[]): false {
  return refuse(faults, {
    path,
    code: "wrong-type",
    says: `Here stands ${typeText(value)}; it must be ${needed}.`,
    mend: `Put ${needed} here.`,
  });
}

function outOfRange(value: number, needed: string, path: string, faults: Fault[]): false {
  return refuse(faults, {
    path,
    code: "out-of-range",
    says: `${value} may not stand here; it must be ${needed}.`,
    mend: `Put ${needed} here.`,
  });
}

function refuse(faultsMutable: Fault[], fault: Fault): false {
  faultsMutable.push(fault);
  return false;
}

function isWithin(value: number, { min, max, above }: NumberBounds): boolean {
  if (min !== undefined && value < min) return false;
  if (max !== undefined && value > max) return false;
  return above === undefined || value > above;
}

function boundsText({ min, max, above }: NumberBounds): string {
  const parts = [
    min === undefined ? "" : ` of at least ${min}`,
    above === undefined ? "" : ` above ${above}`,
    max === undefined ? "" : ` of at most ${max}`,
  ];
  return parts.filter((part) => part !== "").join(" and");
}

function typeText(value: unknown): string {
  if (value === null) return "null";
  if (Array.isArray(value)) return "a list";
  if (typeof value === "string") return "text";
  if (typeof value === "number") return "a number";
  if (typeof value === "boolean") return String(value);
  return "an object";
}

// A value as it is quoted in a sentence: cut, so that a damaged file makes no endless sentence.
function quote(value: string): string {
  return JSON.stringify(value.length > 60 ? `${value.slice(0, 60)}…` : value);
}
