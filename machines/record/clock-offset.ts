// The offset of one clock from another, from one exchange of messages.

/** Four moments of one exchange, milliseconds since 1970. */
export type ClockStamps = {
  /** By the device, when it sent. */
  readonly sentMs: number;
  /** By the hub, when the message had come. */
  readonly receivedMs: number;
  /** By the hub, when it answered. */
  readonly answeredMs: number;
  /** By the device, when the answer had come. */
  readonly returnedMs: number;
};

/**
 * Offset of a device's wall clock from the hub's, from one exchange of four stamps.
 *
 * Positive when the hub is ahead; exact if both legs took equally long, and off by at most half of
 * `roundTripMs` if they did not. Either may be a half of a millisecond.
 *
 * @returns undefined if the round trip comes out negative, for then a clock was set between the
 *   stamps and the sample is worth nothing
 * Errors: none; bad stamps are the world's, not ours.
 * Source: RFC 5905, section 8, the equations for theta and delta.
 *   Checked in tests/published/rfc-5905-clock-offset.test.ts
 */
export function clockOffset(
  stamps: ClockStamps,
): { readonly offsetMs: number; readonly roundTripMs: number } | undefined {
  const { sentMs, receivedMs, answeredMs, returnedMs } = stamps;
  const roundTripMs = returnedMs - sentMs - (answeredMs - receivedMs);
  if (roundTripMs < 0) return undefined;
  return { offsetMs: (receivedMs - sentMs + (answeredMs - returnedMs)) / 2, roundTripMs };
}
