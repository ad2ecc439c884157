// Clock offset and round trip against RFC 5905 (NTPv4), section 8:
//   theta = ((T2 - T1) + (T3 - T4)) / 2,   delta = (T4 - T1) - (T3 - T2).
// The vector T = 1000, 1520, 1525, 1065 is worked by hand from these equations:
//   theta = (520 + 460) / 2 = 490, delta = 65 - 5 = 60. Exact, so no tolerance.

import { expect, test } from "vitest";
import { clockOffset } from "../../machines/record/clock-offset.ts";

function check(
  stamps: readonly [number, number, number, number],
  expected: { offsetMs: number; roundTripMs: number } | undefined,
): void {
  const [sentMs, receivedMs, answeredMs, returnedMs] = stamps;
  expect(clockOffset({ sentMs, receivedMs, answeredMs, returnedMs })).toEqual(expected);
}

test("[RFC 5905 s8] offset and round trip of the worked vector", () => {
  check([1000, 1520, 1525, 1065], { offsetMs: 490, roundTripMs: 60 });
});

test("[RFC 5905 s8] a device ahead of the hub has a negative offset", () => {
  // theta = ((950 - 1000) + (960 - 1070)) / 2 = -80, delta = 70 - 10 = 60.
  check([1000, 950, 960, 1070], { offsetMs: -80, roundTripMs: 60 });
});

test("[RFC 5905 s8] a negative round trip is no sample", () => {
  check([1000, 1520, 1600, 1010], undefined);
});
