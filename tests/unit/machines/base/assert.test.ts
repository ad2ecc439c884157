import { expect, test } from "vitest";
import { assert } from "../../../../machines/base/assert.ts";

test("[assert] what holds passes, what does not throws an Error with the message", () => {
  expect(() => assert([1].length > 0, "the list has entries")).not.toThrow();
  expect(() => assert([].length > 0, "the list has entries")).toThrow(
    new Error("Assertion failed: the list has entries"),
  );
});
