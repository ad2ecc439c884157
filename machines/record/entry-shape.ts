// Checks of plain JSON values, for `read-entry.ts`: each looks at one value and adds what is wrong.
//
// [entry-shape 1] A check never throws and never changes the value.
// [entry-shape 2] An object with a member that its check does not name is at fault: an unread member
//   would be hashed and signed without anybody having looked at it.

import type { Fault } from "../procedure/fault.ts";

/** Looks at a value and adds a fault for everything that is wrong with it. */
export type Check = (value: unknown, path: string, faults: Fault[]) => void;

/** A plain object with exactly these members. */
export function members(checks: Readonly<Record<string, Check>>): Check {
  const checksByName = Object.entries(checks);
  const names = new Set(Object.keys(checks));
  return (value, path, faults) => {
    if (!isObject(value)) {
      faults.push(wrongType(path, "an object"));
      return;
    }
    for (const [name, check] of checksByName) {
      if (Object.hasOwn(value, name)) check(value[name], `${path}/${name}`, faults);
      else faults.push(missingMember(path, name));
    }
    for (const name of Object.keys(value)) {
      if (!names.has(name)) faults.push(unknownMember(path, name));
    }
  };
}

/** One of several shapes, told apart by the first of their members that the value has. */
export function anyOf(
  what: string,
  shapes: readonly { readonly when: string; readonly check: Check }[],
): Check {
  return (value, path, faults) => {
    const shape = shapes.find(({ when }) => isObject(value) && Object.hasOwn(value, when));
    if (shape === undefined) faults.push(wrongType(path, what));
    else shape.check(value, path, faults);
  };
}

/** An object of any member names that pass one check, with values that pass another. */
export function recordOf(name: Check, member: Check, membersMax: number): Check {
  return (value, path, faults) => {
    if (!isObject(value) || Object.keys(value).length > membersMax) {
      faults.push(wrongType(path, `an object of at most ${membersMax} members`));
      return;
    }
    for (const [memberName, memberValue] of Object.entries(value)) {
      const memberPath = `${path}/${pointerPart(memberName)}`;
      name(memberName, memberPath, faults);
      member(memberValue, memberPath, faults);
    }
  };
}

/** Null, or what passes the check. */
export function nullOr(check: Check): Check {
  return (value, path, faults) => {
    if (value !== null) check(value, path, faults);
  };
}

/** One of these values. */
export function oneOf<Value>(values: readonly Value[]): Check {
  const known = new Set<unknown>(values);
  const what = `one of ${values.map((value) => JSON.stringify(value)).join(", ")}`;
  return (value, path, faults) => {
    if (!known.has(value)) faults.push(wrongType(path, what));
  };
}

/** A finite number between the two bounds (both included). */
export function numberBetween(min: number, max: number, sort: "whole" | "any"): Check {
  const what = `a ${sort === "whole" ? "whole " : ""}number from ${min} to ${max}`;
  return (value, path, faults) => {
    const isRight =
      typeof value === "number" &&
      (sort === "whole" ? Number.isSafeInteger(value) : Number.isFinite(value)) &&
      value >= min &&
      value <= max;
    if (!isRight) faults.push(wrongType(path, what));
  };
}

/** A text without lone surrogates of at most so many UTF-16 code units. */
export function textUpTo(charactersMax: number): Check {
  return (value, path, faults) => {
    if (typeof value !== "string" || loneSurrogate.test(value)) {
      faults.push(wrongType(path, "a text"));
    } else if (value.length > charactersMax) {
      const says = `This text has ${value.length} characters; at most ${charactersMax} are allowed.`;
      faults.push({ path, code: "too-long", says, mend: "Shorten the text." });
    }
  };
}

const loneSurrogate = /\p{Surrogate}/u;

/** A text of a certain form. */
export function textLike(form: RegExp, what: string): Check {
  return (value, path, faults) => {
    if (typeof value !== "string" || !form.test(value)) faults.push(wrongType(path, what));
  };
}

/** An id of something that a procedure or an inject script names: 1 to 128 characters. */
export const idText: Check = (value, path, faults) => {
  const isId =
    typeof value === "string" &&
    value.length >= 1 &&
    value.length <= 128 &&
    !loneSurrogate.test(value);
  if (!isId) faults.push(wrongType(path, "an id of 1 to 128 characters"));
};

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

// Escapes a member name for a JSON Pointer (RFC 6901, section 3).
function pointerPart(name: string): string {
  return name.replaceAll("~", "~0").replaceAll("/", "~1");
}

function wrongType(path: string, what: string): Fault {
  return { path, code: "wrong-type", says: `This is not ${what}.`, mend: `Give ${what}.` };
}

function missingMember(path: string, name: string): Fault {
  const says = `The member "${name}" is missing.`;
  return { path: `${path}/${name}`, code: "missing-member", says, mend: `Add "${name}".` };
}

function unknownMember(path: string, name: string): Fault {
  const says = `Nothing here is called "${name}".`;
  const mend = `Take "${name}" out, or bring this app up to date.`;
  return { path: `${path}/${pointerPart(name)}`, code: "unknown-member", says, mend };
}
