// How much the hub takes from one device or one address.
//
// Definition: a *bucket* holds tokens; each request takes one, and they come back at a steady rate up to
//   the bucket's capacity.
// [limits 1] A device gets no more than its bucket's capacity at once, and its rate over time.
// [limits 2] What one device or address spends takes nothing from another.
// [limits 3] Wrong codes are counted per address, so that codes cannot be guessed: twenty to the eighth
//   codes against ten tries a minute.
// [limits 4] Every limit of the hub is in this list or in `createLimits` below:
//   body of a request, as sent and unpacked   requestBytesMax, unpackedBytesMax   machines/sync/push.ts
//   segments and entries of one push          pushSegmentsMax, pushEntriesMax     machines/sync/push.ts
//   segments and entries of one pull          pullSegmentsMax, pullEntriesMax     machines/sync/pull.ts
//   streams of a device; one that is slow     streamsPerDeviceMax, slowMs         workers/hub/event-streams.ts
//   pieces set aside that are kept, a run     setAsideMax                         workers/hub/storage/record-storage.ts
//   requests under way when the hub is ended  drainMs                             workers/hub/shutdown.ts
//   life of the hub's own certificate         leafDaysMax                         workers/hub/tls/issue-certificate.ts
//   Node's own hold besides: 60 s for the headers of a request, 300 s for the whole, 16 KiB of headers.

import type { Clock } from "./clock.ts";

/** The buckets of a hub. */
export type Limits = {
  /** Requests of a device that showed its token; key: run and device. */
  readonly byDevice: TokenBuckets;
  /** Requests without a right token: opening, joining, bringing in a procedure; key: the address. */
  readonly byAddress: TokenBuckets;
  /** Codes that let nobody in; key: the address. */
  readonly wrongCodesByAddress: TokenBuckets;
};

/** The limits that hold unless told otherwise. */
export function createLimits(clock: Clock): Limits {
  return {
    byDevice: createTokenBuckets({ capacity: 200, perSecond: 40 }, clock),
    byAddress: createTokenBuckets({ capacity: 100, perSecond: 10 }, clock),
    wrongCodesByAddress: createTokenBuckets({ capacity: 10, perSecond: 1 / 6 }, clock),
  };
}

/** Buckets by key; each starts full. */
export type TokenBuckets = {
  /** Takes a token. @returns 0, or the whole seconds after which there will be one */
  readonly take: (key: string) => number;
  /** As `take`, but takes none. */
  readonly wait: (key: string) => number;
};

/** Beyond so many keys, buckets that are full again are forgotten; then once their number has doubled. */
const bucketsMax = 10_000;

/** Makes buckets that hold `capacity` tokens, of which `perSecond` come back. */
export function createTokenBuckets(
  { capacity, perSecond }: { readonly capacity: number; readonly perSecond: number },
  clock: Clock,
): TokenBuckets {
  const buckets = new Map<string, { tokens: number; atMs: number }>();
  let forgetBeyond = bucketsMax;

  function levelOf(key: string): number {
    const bucket = buckets.get(key);
    if (bucket === undefined) return capacity;
    // A clock that was set back gives nothing, and takes nothing.
    const passedSeconds = Math.max(0, clock.nowMs() - bucket.atMs) / 1000;
    return Math.min(capacity, bucket.tokens + passedSeconds * perSecond);
  }

  function wait(key: string): number {
    const tokens = levelOf(key);
    return tokens >= 1 ? 0 : Math.ceil((1 - tokens) / perSecond);
  }

  function take(key: string): number {
    const waitSeconds = wait(key);
    if (waitSeconds > 0) return waitSeconds;
    buckets.set(key, { tokens: levelOf(key) - 1, atMs: clock.nowMs() });
    if (buckets.size > forgetBeyond) forgetFullBuckets();
    return 0;
  }

  function forgetFullBuckets(): void {
    for (const key of buckets.keys()) if (levelOf(key) >= capacity) buckets.delete(key);
    forgetBeyond = Math.max(bucketsMax, 2 * buckets.size);
  }

  return { take, wait };
}
