// The hub's time and its timers, handed in so that tests turn them by hand.

/** Time as the hub sees it. */
export type Clock = {
  /** Milliseconds since 1970. */
  readonly nowMs: () => number;
  /** Acts again and again; the result ends that. */
  readonly every: (periodMs: number, act: () => void) => () => void;
};

/** The machine's clock. Its timers keep no process alive. */
export const systemClock: Clock = {
  nowMs: () => Date.now(),
  every(periodMs, act) {
    const timer = setInterval(act, periodMs);
    timer.unref();
    return () => clearInterval(timer);
  },
};
