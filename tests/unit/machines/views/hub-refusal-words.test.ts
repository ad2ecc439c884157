import { expect, test } from "vitest";
import { hubRefusalWords } from "../../../../machines/views/hub-refusal-words.ts";

const refusedByPush = ["gap", "fork", "chain", "signature", "stand-in"];
const refusedByRequest = ["struck-off", "token-wrong", "run-unknown", "rate-limited"];

test.each([...refusedByPush, ...refusedByRequest])(
  "[hub-refusal-words 1] %s has words of its own",
  (code) => {
    const words = hubRefusalWords({ code, says: "raw" });
    expect(words.says).not.toBe("raw");
    expect(words.mend).not.toBe("");
  },
);

test("[hub-refusal-words 1] a refusal that is not known here keeps the hub's own words", () => {
  expect(hubRefusalWords({ code: "moon-full", says: "The moon is full." }).says).toBe(
    "The moon is full.",
  );
});

test.each([...refusedByPush, "struck-off", "moon-full"])(
  "[hub-refusal-words 2] %s says that what is entered is kept",
  (code) => {
    expect(hubRefusalWords({ code, says: "raw" }).mend).toMatch(/stays|kept/);
  },
);
