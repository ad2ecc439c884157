import { expect, test } from "vitest";
import { createDeviceId, createRunId, uuidOfTime } from "../../../../workers/keys/random-id.ts";

const wallMs = Date.UTC(2030, 0, 1);

test("[uuid 2] ids made later sort later", () => {
  const ids = [0, 1, 1000, 100_000].map((laterMs) => createRunId(wallMs + laterMs));
  expect(ids.toSorted()).toEqual(ids);
});

test("[uuid 3] ten thousand ids of one millisecond differ and are of version 7", () => {
  const ids = Array.from({ length: 10_000 }, () => createDeviceId(wallMs));
  expect(new Set(ids).size).toBe(ids.length);
  const shape = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;
  expect(ids.filter((id) => !shape.test(id))).toEqual([]);
});

test.each([
  { says: "a fraction", time: 0.5, length: 10 },
  { says: "before 1970", time: -1, length: 10 },
  { says: "past 48 bits", time: 2 ** 48, length: 10 },
  { says: "nine bytes", time: 0, length: 9 },
])("[uuid 4] $says is refused", ({ time, length }) => {
  expect(() => uuidOfTime(time, new Uint8Array(length))).toThrow("Assertion failed");
});
