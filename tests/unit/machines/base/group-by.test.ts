import { expect, test } from "vitest";
import { groupBy } from "../../../../machines/base/group-by.ts";

test("[group-by 1] groups and their values stand in the order of the list", () => {
  const groups = groupBy(["b1", "a1", "b2", "c1", "a2"], (text) => text[0]);
  expect([...groups]).toEqual([
    ["b", ["b1", "b2"]],
    ["a", ["a1", "a2"]],
    ["c", ["c1"]],
  ]);
  expect(groupBy([], String).size).toBe(0);
});
