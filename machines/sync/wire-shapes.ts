// Shapes that several messages of the wire share.
//
// [wire 1] A reader passes the value itself, unchanged, or null with every fault of it.

import type { Fault } from "../procedure/fault.ts";
import type { Identity, PositionId } from "../procedure/ids.ts";
import { id, isObject, matching, nullable, oneOf, pointer, text } from "../procedure/read-shape.ts";
import type { Shape } from "../procedure/read-shape.ts";
import type { Role } from "../record/entry.ts";
import type { DeviceId, RunId } from "../record/ids.ts";
import { titleCharactersMax } from "../record/read-entry.ts";

/** The id of a run. */
export const runIdShape = id<RunId>();
/** The id of a device. */
export const deviceIdShape = id<DeviceId>();
/** The lane of a device, or null. */
export const laneShape = nullable(id<PositionId>());
/** The identity of a document. */
export const identityShape = matching<Identity>(/^[0-9a-f]{64}$/, "64 hexadecimal digits");
/** The digest of an entry. */
export const digestShape = matching<string>(/^[0-9a-f]{64}$/, "64 hexadecimal digits");
/** A device's secret: 256 bits as base64url (RFC 4648, section 5) without padding. */
export const tokenShape = matching<string>(
  /^[A-Za-z0-9_-]{43}$/,
  "a token of 43 letters, digits, hyphens and underscores",
);
/** A role in a run. */
export const roleShape = oneOf<Role>(["director", "reader", "crew", "support", "observer"]);

/** A title or a name: something to read, and as short as an entry allows. */
export function titleShape(value: unknown, path: string, faults: Fault[]): value is string {
  if (!text(value, path, faults)) return false;
  if (value.length <= titleCharactersMax) return true;
  faults.push({
    path,
    code: "too-long",
    says: `This text has ${value.length} characters; at most ${titleCharactersMax} may stand here.`,
    mend: "Shorten it.",
  });
  return false;
}

/** An object that another reader reads later. */
export function unreadObject(value: unknown, path: string, faults: Fault[]): value is object {
  if (isObject(value)) return true;
  const says = "This must be an object.";
  faults.push({ path, code: "wrong-type", says, mend: "Put an object here." });
  return false;
}

/** An object with any ids of devices as names, each with a value of one shape. */
export function byDevice<Value>(shape: Shape<Value>): Shape<Readonly<Record<DeviceId, Value>>> {
  type Values = Readonly<Record<DeviceId, Value>>;
  function isByDevice(value: unknown, path: string, faults: Fault[]): value is Values {
    if (!isObject(value)) {
      const says = "This must be an object with the ids of devices as names.";
      faults.push({ path, code: "wrong-type", says, mend: "Put such an object here." });
      return false;
    }
    const faultsBefore = faults.length;
    for (const [name, member] of Object.entries(value)) {
      deviceIdShape(name, pointer(path, name), faults);
      shape(member, pointer(path, name), faults);
    }
    return faults.length === faultsBefore;
  }
  return isByDevice;
}

/** A list of at most so many values of one shape. */
export function listUpTo<Value>(most: number, shape: Shape<Value>): Shape<readonly Value[]> {
  function isListUpTo(value: unknown, path: string, faults: Fault[]): value is readonly Value[] {
    if (!Array.isArray(value)) {
      faults.push({
        path,
        code: "wrong-type",
        says: "This must be a list.",
        mend: "Put a list here.",
      });
      return false;
    }
    if (value.length > most) {
      const says = `This list has ${value.length} entries; at most ${most} may stand here.`;
      faults.push({ path, code: "too-many", says, mend: "Send them in several parts." });
      return false;
    }
    const faultsBefore = faults.length;
    for (const [index, element] of value.entries()) {
      shape(element, pointer(path, String(index)), faults);
    }
    return faults.length === faultsBefore;
  }
  return isListUpTo;
}
