// Mutations of bytes and of JSON values: what a bad cable, a bad card or a bad neighbour makes of a file.

import type { SeededRandom } from "../../../machines/base/seeded-random.ts";
import { pick } from "./rounds.ts";

/** One to four mutations of bytes: flipped, set, cut out, doubled, moved, put in, cut off. */
export function mutateBytes(bytes: Uint8Array, random: SeededRandom): Uint8Array<ArrayBuffer> {
  let mutated = new Uint8Array(bytes);
  for (let left = 1 + random.nextBelow(4); left > 0; left -= 1) {
    mutated = pick(random, byteMutations)(mutated, random);
  }
  return mutated;
}

/** As `mutateBytes`, of a text's UTF-8 bytes. */
export function mutateText(text: string, random: SeededRandom): Uint8Array<ArrayBuffer> {
  return mutateBytes(new TextEncoder().encode(text), random);
}

/** One to three mutations of a JSON value: nodes replaced, removed, doubled, renamed, exchanged, added. */
export function mutateJson(value: unknown, random: SeededRandom): unknown {
  let mutated = value;
  for (let left = 1 + random.nextBelow(3); left > 0; left -= 1)
    mutated = mutateOnce(mutated, random);
  return mutated;
}

type Bytes = Uint8Array<ArrayBuffer>;
type ByteMutation = (bytes: Bytes, random: SeededRandom) => Bytes;

const byteMutations: readonly ByteMutation[] = [
  (bytes, random) => withByte(bytes, random, (byte) => byte ^ (1 << random.nextBelow(8))),
  (bytes, random) => withByte(bytes, random, () => random.nextBelow(256)),
  (bytes, random) => bytes.slice(0, random.nextBelow(bytes.length + 1)),
  (bytes, random) => splice(bytes, stretch(bytes, random), new Uint8Array(0)),
  (bytes, random) => {
    const [from, to] = stretch(bytes, random);
    return splice(bytes, [to, to], bytes.slice(from, to));
  },
  (bytes, random) => {
    const [from, to] = stretch(bytes, random);
    const at = random.nextBelow(bytes.length + 1);
    return splice(bytes, [at, at], bytes.slice(from, to));
  },
  (bytes, random) => {
    const at = random.nextBelow(bytes.length + 1);
    return splice(bytes, [at, at], new TextEncoder().encode(pick(random, tokens)));
  },
];

/** What breaks readers, as it stands in a text. */
const tokens = [
  "\u0000",
  '"',
  "\\",
  "\\ud800",
  "\\udfff\\ud800",
  "\uFEFF",
  "{",
  "}",
  "]",
  "[".repeat(300),
  '{"a":'.repeat(20_000),
  "1e999",
  "-0",
  "1E400",
  "0x10",
  "01",
  "9".repeat(400),
  "null",
  "NaN",
  '"__proto__":{"polluted":true},',
  '"constructor":{"prototype":{"polluted":true}},',
  "//",
  ",",
];

/** Values that stand where nobody expects them. */
const strangers: readonly (() => unknown)[] = [
  () => null,
  () => true,
  () => 0,
  () => -1,
  () => -0,
  () => 0.1,
  () => 1e21,
  () => Number.MAX_VALUE,
  () => Number.MIN_VALUE,
  () => 2 ** 53,
  () => -(2 ** 53) + 1,
  () => "",
  () => " ",
  () => "\uD800",
  () => "a\uDFFFb",
  () => "\u0000",
  () => "__proto__",
  () => "constructor",
  () => "toString",
  () => "hasOwnProperty",
  () => "../../etc/passwd",
  () => "'; DROP TABLE runs; --",
  () => "\u202Egnp",
  () => "x".repeat(70_000),
  () => "é".repeat(200),
  () => "𝒳".repeat(100),
  () => [],
  () => ({}),
  () => [[], [[]]],
  () => JSON.parse('{"__proto__": {"polluted": true}}') as unknown,
  () => JSON.parse('{"constructor": {"prototype": {"polluted": true}}}') as unknown,
  () => nested(90),
  () => nested(900),
  () => nested(1_500),
  () => Array.from({ length: 3_000 }, (_, index) => index),
];

function nested(depth: number): unknown {
  let value: unknown = [];
  for (let left = depth; left > 0; left -= 1) value = left % 2 === 0 ? [value] : { a: value };
  return value;
}

function mutateOnce(value: unknown, random: SeededRandom): unknown {
  const isHere = isBranch(value) ? random.nextBelow(4) === 0 : true;
  if (isHere || !isBranch(value) || Object.keys(value).length === 0) {
    return pick(random, nodeMutations)(value, random);
  }
  const name = pick(random, Object.keys(value));
  const inner: unknown = Reflect.get(value, name);
  return withMember(value, name, mutateOnce(inner, random));
}

type NodeMutation = (value: unknown, random: SeededRandom) => unknown;

const nodeMutations: readonly NodeMutation[] = [
  (_value, random) => pick(random, strangers)(),
  (value, random) => near(value, random),
  (value, random) => without(value, random),
  (value, random) => doubled(value, random),
  (value, random) => exchanged(value, random),
  (value, random) => added(value, random),
  (value) => [value],
  (value) => ({ value }),
];

// A value of the same type, a little off.
function near(value: unknown, random: SeededRandom): unknown {
  if (typeof value === "number") return pick(random, [value + 1, -value, value * 1e6, value / 3]);
  if (typeof value === "boolean") return !value;
  if (typeof value !== "string") return pick(random, strangers)();
  const at = random.nextBelow(value.length + 1);
  const sign = pick(random, ["", "0", "-", "é", "\uD83D", " ", value]);
  return value.slice(0, at) + sign + value.slice(at + random.nextBelow(2));
}

function without(value: unknown, random: SeededRandom): unknown {
  if (!isBranch(value) || Object.keys(value).length === 0) return null;
  const name = pick(random, Object.keys(value));
  if (Array.isArray(value)) return value.filter((_, place) => String(place) !== name);
  return fromMembers(Object.entries(value).filter(([other]) => other !== name));
}

function doubled(value: unknown, random: SeededRandom): unknown {
  if (Array.isArray(value)) {
    const from = random.nextBelow(value.length + 1);
    return [...value, ...(value.slice(from) as unknown[])];
  }
  if (typeof value === "string") return value + value;
  return added(value, random);
}

function exchanged(value: unknown, random: SeededRandom): unknown {
  if (!isBranch(value) || Object.keys(value).length < 2) return near(value, random);
  const [one, other] = [pick(random, Object.keys(value)), pick(random, Object.keys(value))];
  const changed = withMember(value, one, Reflect.get(value, other));
  return withMember(changed, other, Reflect.get(value, one));
}

function added(value: unknown, random: SeededRandom): unknown {
  const stranger = pick(random, strangers)();
  if (Array.isArray(value)) return [...(value as unknown[]), stranger];
  if (!isBranch(value)) return stranger;
  const name = pick(random, ["extra", "__proto__", "constructor", "toString", "", "kind", "sort"]);
  return fromMembers([...Object.entries(value), [name, stranger]]);
}

function withMember(value: object, name: string, member: unknown): object {
  if (Array.isArray(value)) {
    return value.map((one: unknown, place) => (String(place) === name ? member : one));
  }
  return fromMembers(
    Object.entries(value).map(([other, one]) => [other, other === name ? member : one]),
  );
}

// `fromEntries` makes a member of its own even of the name "__proto__".
function fromMembers(members: readonly (readonly [string, unknown])[]): object {
  return Object.fromEntries(members);
}

function isBranch(value: unknown): value is object {
  return typeof value === "object" && value !== null;
}

function withByte(bytes: Bytes, random: SeededRandom, change: (byte: number) => number): Bytes {
  const changed = bytes.slice();
  if (changed.length === 0) return changed;
  const at = random.nextBelow(changed.length);
  changed[at] = change(changed[at] ?? 0);
  return changed;
}

function stretch(bytes: Bytes, random: SeededRandom): readonly [number, number] {
  const from = random.nextBelow(bytes.length + 1);
  const length = random.nextBelow(pick(random, [2, 20, 2_000]) + 1);
  return [from, Math.min(bytes.length, from + length)];
}

function splice(bytes: Bytes, [from, to]: readonly [number, number], put: Uint8Array): Bytes {
  const spliced = new Uint8Array(bytes.length - (to - from) + put.length);
  spliced.set(bytes.subarray(0, from));
  spliced.set(put, from);
  spliced.set(bytes.subarray(to), from + put.length);
  return spliced;
}
