// Grouping of a list by a key.
//
// [group-by 1] Each value stands in the group of its key, in the list's order; groups come in the
//   order of their first value.

/** The values of a list by key. Errors: none. */
export function groupBy<Key, Value>(
  values: Iterable<Value>,
  keyOf: (value: Value) => Key,
): ReadonlyMap<Key, readonly Value[]> {
  const groups = new Map<Key, Value[]>();
  for (const value of values) {
    const key = keyOf(value);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [value]);
    else group.push(value);
  }
  return groups;
}
