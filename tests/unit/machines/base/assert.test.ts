import { expect, test } from "vitest";
import { assert } from "../../../../machines/base/assert.ts";

test("[assert] what holds passes, what does not throws an Error with the message", () => {
  expect(() => assert(1 < 2, "one is less than two")).not.toThrow();
  expect(() => assert(2 < 1, "two is less than one")).toThrow(
    new Error("Assertion failed: two is less than one"),
  );
});
