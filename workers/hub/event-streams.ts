// Server-sent events to the devices that follow.
//
// [streams 1] A follower that reads slower than events come gets the newest of each sort, not all.
// [streams 2] A follower that reads nothing for `slowMs` is dropped; it will pull when it is back.
// [streams 3] A device has at most `streamsPerDeviceMax` streams; a further one ends its oldest.
// [streams 4] A comment goes out every `heartbeatMs`, so that neither end nor anything between them takes
//   a quiet line for a dead one.
// Source of the line format: HTML Living Standard, section 9.2, server-sent events.

import type { DeviceId, RunId } from "../../machines/record/ids.ts";
import type { Clock } from "./clock.ts";

/** How often a comment goes out. */
export const heartbeatMs = 15_000;
/** After so long without reading, a follower is dropped. */
export const slowMs = 45_000;
/** So many streams a device may have at once. */
export const streamsPerDeviceMax = 3;
/** After a hub was stopped on purpose, whoever followed may come back so soon. */
const retryMs = 2_000;
/** So many events wait for a follower before newer ones take their place. */
const eventsWaitingMax = 8;

/** Everybody who follows. */
export type EventStreams = {
  /** Begins a stream. `onEnd` is called once, whoever ends it; `cut` breaks the line of a slow one. */
  readonly open: (follower: Follower) => EventStream;
  /** Tells every follower of a run that it has entries up to a place. */
  readonly tellEntries: (run: RunId, after: number) => void;
  /** The runs that somebody follows, with the last place that its followers were told of here. */
  readonly placesTold: () => ReadonlyMap<RunId, number>;
  /** Sends to every follower of a run. */
  readonly tell: (run: RunId, event: string, data: unknown) => void;
  readonly count: () => number;
  /** Ends every stream, and says that it was on purpose: whoever follows comes back soon. */
  readonly endAll: () => void;
};

/** Who follows what. */
export type Follower = {
  readonly run: RunId;
  readonly device: DeviceId;
  readonly onEnd: () => void;
  readonly cut: () => void;
};

/** A stream under way. */
type EventStream = {
  readonly body: ReadableStream<Uint8Array>;
  readonly send: (event: string, data: unknown) => void;
  /** Tells after how long to come back, once the stream has ended. */
  readonly sayRetry: () => void;
  readonly end: () => void;
};

/** Nobody follows yet. */
export function createEventStreams(clock: Clock): EventStreams {
  const open = new Set<{ readonly follower: Follower; readonly stream: EventStream }>();
  const ofDevice = ({ run, device }: Follower) =>
    [...open].filter(({ follower }) => follower.run === run && follower.device === device);
  const places = new Map<RunId, number>();
  const tell = (run: RunId, event: string, data: unknown) => {
    for (const { follower, stream } of open) if (follower.run === run) stream.send(event, data);
  };
  return {
    open(follower) {
      for (const { stream } of ofDevice(follower).slice(0, 1 - streamsPerDeviceMax)) stream.end();
      const stream = createEventStream(clock, {
        ...follower,
        onEnd() {
          open.delete(opened);
          follower.onEnd();
        },
      });
      const opened = { follower, stream };
      open.add(opened);
      return stream;
    },
    tell,
    tellEntries(run, after) {
      places.set(run, Math.max(places.get(run) ?? 0, after));
      tell(run, "entries", { after });
    },
    placesTold() {
      const followed = new Set([...open].map(({ follower }) => follower.run));
      for (const run of places.keys()) if (!followed.has(run)) places.delete(run);
      return new Map([...followed].map((run) => [run, places.get(run) ?? 0]));
    },
    count: () => open.size,
    endAll() {
      for (const { stream } of open) {
        stream.sayRetry();
        stream.end();
      }
    },
  };
}

function createEventStream(clock: Clock, { onEnd, cut }: Follower): EventStream {
  const encoder = new TextEncoder();
  const waiting = new Map<string, string>();
  let controller: ReadableStreamDefaultController<Uint8Array> | null = null;
  let lastReadMs = clock.nowMs();

  function flush(): void {
    for (const [event, text] of waiting) {
      if (controller === null || (controller.desiredSize ?? 0) <= 0) return;
      waiting.delete(event);
      controller.enqueue(encoder.encode(text));
    }
  }

  function put(event: string, text: string): void {
    waiting.delete(event);
    waiting.set(event, text);
    flush();
  }

  function finish(close: (ending: ReadableStreamDefaultController<Uint8Array>) => void): void {
    if (controller === null) return;
    const ending = controller;
    controller = null;
    stopHeartbeat();
    close(ending);
    onEnd();
  }

  function beat(): void {
    const isFull = (controller?.desiredSize ?? 1) <= 0;
    if (isFull && clock.nowMs() - lastReadMs >= slowMs) {
      finish((ending) => ending.error(new Error("The follower read nothing for too long.")));
      cut();
      return;
    }
    put("", ": still here\n\n");
  }

  const stopHeartbeat = clock.every(heartbeatMs, beat);
  const body = new ReadableStream<Uint8Array>(
    {
      start(started) {
        controller = started;
      },
      pull() {
        lastReadMs = clock.nowMs();
        flush();
      },
      cancel: () => finish(() => undefined),
    },
    { highWaterMark: eventsWaitingMax },
  );
  return {
    body,
    send: (event, data) => put(event, `event: ${event}\ndata: ${JSON.stringify(data)}\n\n`),
    sayRetry: () => put("retry", `: the hub is stopping\nretry: ${retryMs}\n\n`),
    end: () => finish((ending) => ending.close()),
  };
}
