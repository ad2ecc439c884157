import { expect, test } from "vitest";
import { outcomeOf } from "../../../../app/live/outcome-of.ts";
import { RunMissingError } from "../../../../workers/store/run-missing-error.ts";

test("[outcome-of 1] an act comes to its value, or to sentences for the person", async () => {
  expect(await outcomeOf(() => Promise.resolve(7))).toEqual({ value: 7, refusal: null });
  for (const cause of [new RunMissingError(), new Error("ours"), "no error at all"]) {
    const { value, refusal } = await outcomeOf(() => Promise.reject(cause));
    expect(value).toBeNull();
    expect(refusal?.says.length).toBeGreaterThan(0);
    expect(refusal?.mend.length).toBeGreaterThan(0);
  }
});
