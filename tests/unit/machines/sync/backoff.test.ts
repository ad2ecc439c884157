import * as fc from "fast-check";
import { expect, test } from "vitest";
import { backoffMs, waitMsFirst, waitMsMax } from "../../../../machines/sync/backoff.ts";

test.each([
  { failures: 1, random: 0, waitMs: 500 },
  { failures: 1, random: 0.5, waitMs: 750 },
  { failures: 2, random: 0, waitMs: 1_000 },
  { failures: 4, random: 0.5, waitMs: 6_000 },
  { failures: 7, random: 0, waitMs: 30_000 },
  { failures: 1_000, random: 0, waitMs: 30_000 },
])("[backoff 1] after $failures failures and with $random the wait is $waitMs ms", (given) => {
  expect(backoffMs(given.failures, given.random)).toBe(given.waitMs);
});

test("[backoff 2] the wait lies between half the bound and the bound, and uses all of it", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 40 }),
      fc.double({ min: 0, max: 0.999, noNaN: true }),
      (n, random) => {
        const boundMs = Math.min(waitMsMax, waitMsFirst * 2 ** (n - 1));
        const waitMs = backoffMs(n, random);
        expect(waitMs).toBeGreaterThanOrEqual(boundMs / 2);
        expect(waitMs).toBeLessThanOrEqual(boundMs);
        expect(backoffMs(n, 0.999) - backoffMs(n, 0)).toBeGreaterThan(boundMs * 0.49);
      },
    ),
  );
});

test.each([
  [0, 0.5],
  [1, 1],
  [1, -0.1],
])("[backoff 1] %j failures with the random number %j is a mistake of the caller", (n, random) => {
  expect(() => backoffMs(n, random)).toThrow("Assertion failed");
});
