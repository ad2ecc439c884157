// Shapes that entries need besides those of `read-shape.ts`: texts, lists and objects with a bound,
// so that no single entry can fill a device.

import { anyText, isObject, list, pointer } from "../procedure/read-shape.ts";
import type { Shape } from "../procedure/read-shape.ts";

/** Text, perhaps empty, of at most so many UTF-16 code units. */
export function textUpTo(charactersMax: number): Shape<string> {
  return (value, path, faults): value is string => {
    if (!anyText(value, path, faults)) return false;
    if (value.length <= charactersMax) return true;
    const says = `This text has ${value.length} characters; ${charactersMax} are allowed.`;
    faults.push({ path, code: "too-long", says, mend: "Shorten the text." });
    return false;
  };
}

/** A list of at most so many values of one shape. */
export function listUpTo<Value>(shape: Shape<Value>, lengthMax: number): Shape<readonly Value[]> {
  const isList = list(shape);
  return (value, path, faults): value is readonly Value[] => {
    if (!Array.isArray(value) || value.length <= lengthMax) return isList(value, path, faults);
    const says = `This list has ${value.length} entries; ${lengthMax} are allowed.`;
    faults.push({ path, code: "too-many", says, mend: "Shorten the list." });
    return false;
  };
}

/** An object of any member names of one shape, with values of another, at most so many. */
export function recordOf<Name extends string, Value>(
  name: Shape<Name>,
  member: Shape<Value>,
  membersMax: number,
): Shape<Readonly<Record<Name, Value>>> {
  return (value, path, faults): value is Readonly<Record<Name, Value>> => {
    if (!isObject(value) || Object.keys(value).length > membersMax) {
      const what = `an object of at most ${membersMax} members`;
      faults.push({ path, code: "wrong-type", says: `This is not ${what}.`, mend: `Put ${what}.` });
      return false;
    }
    const faultsBefore = faults.length;
    for (const [memberName, memberValue] of Object.entries(value)) {
      const memberPath = pointer(path, memberName);
      name(memberName, memberPath, faults);
      member(memberValue, memberPath, faults);
    }
    return faults.length === faultsBefore;
  };
}
