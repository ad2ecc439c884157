import * as fc from "fast-check";
import { expect, test } from "vitest";
import {
  byMember,
  exactly,
  id,
  list,
  matching,
  nullable,
  number,
  object,
  oneOf,
  pointer,
  readShape,
  record,
  text,
  truth,
  variants,
  wholeNumber,
} from "../../../../machines/procedure/read-shape.ts";
import type { Shape } from "../../../../machines/procedure/read-shape.ts";

const message = object({
  name: text,
  age: wholeNumber({ min: 0, max: 150 }),
  weight: nullable(number({ above: 0 })),
  tags: list(id<string>(), 1),
  mood: oneOf(["calm", "busy"]),
  isHere: truth,
  rates: record(["slow", "fast"], number()),
  shape: variants("sort", {
    circle: object({ sort: exactly("circle"), radius: number() }),
    square: object({ sort: exactly("square"), side: number() }),
  }),
  place: byMember({ site: object({ site: text }), item: object({ item: text }) }),
  key: matching(/^[0-9a-f]{4}$/, "four hexadecimal digits"),
});

const good = {
  name: "A",
  age: 3,
  weight: null,
  tags: ["a.b-c_d"],
  mood: "calm",
  isHere: true,
  rates: { slow: 1 },
  shape: { sort: "circle", radius: 1 },
  place: { item: "x" },
  key: "00ff",
};

test("[read-shape 1] a value that fits comes out as it went in", () => {
  const frozen = Object.freeze({ ...good });
  expect(readShape(message, frozen)).toEqual({ value: good, faults: [] });
  expect(readShape(message, frozen).value).toBe(frozen);
});

test("[read-shape 2] every fault is found at once, each at its place", () => {
  const { value, faults } = readShape(message, {
    age: 150.5,
    weight: 0,
    tags: [],
    mood: "sad",
    isHere: 1,
    rates: { slow: "1", medium: 2 },
    shape: { sort: "square", radius: 1 },
    place: {},
    key: "00fg",
  });
  expect(value).toBeNull();
  expect(faults.map(({ code, path }) => [code, path])).toEqual([
    ["missing-member", ""],
    ["out-of-range", "/age"],
    ["out-of-range", "/weight"],
    ["too-few", "/tags"],
    ["not-in-list", "/mood"],
    ["wrong-type", "/isHere"],
    ["wrong-type", "/rates/slow"],
    ["unknown-member", "/rates/medium"],
    ["missing-member", "/shape"],
    ["unknown-member", "/shape/radius"],
    ["missing-member", "/place"],
    ["wrong-form", "/key"],
  ]);
});

test("[read-shape 3] a member that no shape knows is a fault, even one that every object inherits", () => {
  const unknown: unknown = JSON.parse('{"a": 1, "__proto__": 1, "toString": 2}');
  const { faults } = readShape(object({ a: number() }), unknown);
  expect(faults.map(({ path }) => path)).toEqual(["/__proto__", "/toString"]);
});

test("[read-shape 3] what every object inherits is not taken for a member", () => {
  const shape = object({ toString: text, constructor: text }) as Shape<unknown>;
  expect(readShape(shape, {}).faults.map(({ code }) => code)).toEqual([
    "missing-member",
    "missing-member",
  ]);
  const inherited = variants("sort", { circle: object({ sort: exactly("circle") }) });
  expect(readShape(inherited, { sort: "constructor" }).faults).toMatchObject([
    { code: "not-in-list", path: "/sort" },
  ]);
});

test("[read-shape 1] no value makes a shape throw, and it is taken only without faults", () => {
  fc.assert(
    fc.property(fc.anything(), fc.constantFrom(...Object.keys(good)), (value, member) => {
      for (const candidate of [value, { ...good, [member]: value }]) {
        const reading = readShape(message, candidate);
        expect(reading.value === null).toBe(reading.faults.length > 0);
      }
    }),
    { numRuns: 2000 },
  );
});

test("[read-shape 2] paths are JSON Pointers: ~ and / are escaped", () => {
  // RFC 6901, section 3: "~" is spelled "~0" and "/" is spelled "~1".
  expect(pointer("/a", "b/c~d")).toBe("/a/b~1c~0d");
});

test("[read-shape 2] a path has no half of a character: found by a mutated request", () => {
  // The hub's refusal named it, and could then be read by no device.
  expect(pointer("", "a\uD800b\u{1F642}\uDFFF")).toBe("/a\uFFFDb\u{1F642}\uFFFD");
});

test("[read-shape 2] a fault's sentences are cut to a length that a person reads", () => {
  const { faults } = readShape(oneOf(["a"]), "x".repeat(100_000));
  expect(faults[0]?.says.length).toBeLessThan(200);
});
