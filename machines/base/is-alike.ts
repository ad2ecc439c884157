// Whether two plain values say the same.
//
// [is-alike 1] Plain objects and arrays are alike if their members are; all else, functions and maps
//   among it, only if it is the very same.

/** Whether two values, plain through and through or not, say the same. Errors: none. */
export function isAlike(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  const prototype: unknown = Object.getPrototypeOf(a);
  if (prototype !== Object.getPrototypeOf(b)) return false;
  if (Array.isArray(a) && Array.isArray(b)) return isListAlike(a, b);
  return prototype === Object.prototype && areMembersAlike(a, b);
}

function isListAlike(a: readonly unknown[], b: readonly unknown[]): boolean {
  return a.length === b.length && a.every((one, place) => isAlike(one, b[place]));
}

function areMembersAlike(a: object, b: object): boolean {
  const names = Object.keys(a);
  if (names.length !== Object.keys(b).length) return false;
  return names.every(
    (name) => Object.hasOwn(b, name) && isAlike(Reflect.get(a, name), Reflect.get(b, name)),
  );
}
