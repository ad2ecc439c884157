// Damages to JSON documents, one at a time, for tests of readers.
//
// A damage is chosen by two whole numbers, so that a random test can print and replay it.

/** A JSON document's node: where it is and what it is. */
type Node = { readonly path: readonly (string | number)[]; readonly value: unknown };

/**
 * A copy of the document with one node changed: removed, replaced, renamed, doubled, or added to.
 *
 * @param where picks the node, any whole number from 0
 * @param how picks the change, any whole number from 0
 */
export function breakDocument(document: unknown, where: number, how: number): unknown {
  const nodes = nodesOf(document, []);
  const node = nodes[where % nodes.length] ?? { path: [], value: document };
  return changed(document, node, how % changesOf(node.value));
}

/**
 * Every change of every sort of node: of nodes that differ only in their places in lists, the first.
 *
 * Members of objects of different member names are of different sorts, so that each variant is met.
 */
export function* everyBreak(document: unknown): Generator<unknown> {
  const sorts = new Set<string>();
  for (const node of nodesOf(document, [])) {
    const sort = sortOf(document, node);
    if (sorts.has(sort)) continue;
    sorts.add(sort);
    for (let how = 0; how < changesOf(node.value); how += 1) yield changed(document, node, how);
  }
}

function sortOf(document: unknown, { path, value }: Node): string {
  const places = path.map((name) => (typeof name === "number" ? "*" : name));
  const parent = parentOf(document, path);
  const siblings = Array.isArray(parent) ? [] : Object.keys(parent ?? {});
  const own = Array.isArray(value) ? "list" : Object.keys(value ?? {}).join();
  return JSON.stringify([places, siblings, typeof value === "string" ? "" : own]);
}

function changesOf(value: unknown): number {
  return replacements(value).length + 2;
}

function changed(document: unknown, node: Node, choice: number): unknown {
  const copy: unknown = JSON.parse(JSON.stringify(document));
  const values = replacements(node.value);
  if (choice === values.length) return removed(copy, node);
  if (choice === values.length + 1) return renamed(copy, node);
  return replaced(copy, node, values[choice]);
}

function nodesOf(value: unknown, path: readonly (string | number)[]): Node[] {
  const inner = typeof value === "object" && value !== null ? Object.entries(value) : [];
  const key = (name: string): string | number => (Array.isArray(value) ? Number(name) : name);
  return [
    { path, value },
    ...inner.flatMap(([name, child]) => nodesOf(child, [...path, key(name)])),
  ];
}

function replacements(value: unknown): unknown[] {
  const others = [null, true, false, 0, 1, -1, 0.5, 1e300, "", " ", "x", "N·m", "kg", [], {}];
  if (Array.isArray(value)) return [...others, [...value, ...value], value.slice(1), [value]];
  if (typeof value === "object" && value !== null) {
    return [...others, { ...value, extra: 1 }, [value], { ...value, sort: "count" }];
  }
  if (typeof value === "number") return [...others, -value, value + 0.25, value * 1000, `${value}`];
  if (typeof value === "string") return [...others, `${value} `, value.toUpperCase(), `-${value}`];
  return others;
}

function replaced(copy: unknown, { path }: Node, value: unknown): unknown {
  const last = path.at(-1);
  if (last === undefined) return value;
  (parentOf(copy, path) as Record<string | number, unknown>)[last] = value;
  return copy;
}

function removed(copy: unknown, { path }: Node): unknown {
  const last = path.at(-1);
  const parent = parentOf(copy, path);
  if (Array.isArray(parent)) parent.splice(Number(last), 1);
  else if (last !== undefined) delete (parent as Record<string, unknown>)[last];
  return copy;
}

function renamed(copy: unknown, node: Node): unknown {
  const parent = parentOf(copy, node.path);
  if (!Array.isArray(parent) && node.path.length > 0) {
    (parent as Record<string, unknown>)[`${node.path.at(-1)}s`] = node.value;
  }
  return removed(copy, node);
}

function parentOf(copy: unknown, path: readonly (string | number)[]): unknown {
  return path
    .slice(0, -1)
    .reduce<unknown>((at, name) => (at as Record<string | number, unknown>)[name], copy);
}
