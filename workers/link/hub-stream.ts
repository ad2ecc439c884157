// Following a run at the hub: one stream of hints a device, held by one of its pages.
//
// [hub-stream 1] A hint only wakes a sync; nothing is stored from the stream but the time at which
//   others were heard.
// [hub-stream 2] A stream that breaks, or that is silent for `silentMsMax`, is opened again after a
//   wait that grows with each failure.

import { backoffMs } from "../../machines/sync/backoff.ts";
import { readEntriesHint, readHeardHint } from "../../machines/sync/stream.ts";
import type { EntriesHint, HeardHint } from "../../machines/sync/stream.ts";
import { hubHeaders } from "./hub-requests.ts";
import type { HubDoor, RunDoor } from "./hub-requests.ts";
import { emptyRest, readEventStream } from "./read-event-stream.ts";
import type { StreamEvent } from "./read-event-stream.ts";

/** The hub says something every 15 s; a stream that is silent for so long is dead. */
const silentMsMax = 40_000;

/** What is done with what the stream says. */
export type StreamEars = {
  readonly onEntries: (hint: EntriesHint) => void;
  readonly onHeard: (hint: HeardHint) => void;
  /** From 0 to 1, 1 excluded. */
  readonly random: () => number;
};

/**
 * Follows a run until the signal aborts.
 *
 * Errors: none; a hub that is out of reach or refuses is tried again.
 */
export async function followHub(
  door: HubDoor,
  of: RunDoor,
  ears: StreamEars,
  signal: AbortSignal,
): Promise<void> {
  let failures = 0;
  while (!signal.aborted) {
    const said = await readOneStream(door, of, ears, signal);
    failures = said ? 1 : failures + 1;
    await pause(backoffMs(failures, ears.random()), signal);
  }
}

// Reads one stream to its end. Returns whether anything was said.
async function readOneStream(
  door: HubDoor,
  of: RunDoor,
  ears: StreamEars,
  signal: AbortSignal,
): Promise<boolean> {
  const silence = createSilence(signal);
  let said = false;
  try {
    const headers = { ...hubHeaders(of.token), accept: "text/event-stream" };
    const path = `${door.address}/api/runs/${of.run}/stream`;
    const response = await door.fetch(path, { headers, signal: silence.signal, cache: "no-store" });
    if (!response.ok || response.body === null) return false;
    const reader = response.body.getReader();
    const decoder = new TextDecoder();
    let rest = emptyRest;
    for (let piece = await reader.read(); !piece.done; piece = await reader.read()) {
      said = true;
      silence.broken();
      const read = readEventStream(rest, decoder.decode(piece.value, { stream: true }));
      rest = read.rest;
      for (const event of read.events) hear(event, ears);
    }
  } catch {
    // Cut, silent or ended by us: the caller tries again or stops.
  } finally {
    silence.end();
  }
  return said;
}

function hear(event: StreamEvent, ears: StreamEars): void {
  const data = parseOrNull(event.data);
  if (event.event === "entries") {
    const hint = readEntriesHint(data).value;
    if (hint !== null) ears.onEntries(hint);
  }
  if (event.event === "heard") {
    const hint = readHeardHint(data).value;
    if (hint !== null) ears.onHeard(hint);
  }
}

function parseOrNull(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

// A signal that aborts with the outer one, or when nothing breaks the silence for too long.
function createSilence(outer: AbortSignal) {
  const controller = new AbortController();
  const abort = (): void => controller.abort();
  outer.addEventListener("abort", abort);
  if (outer.aborted) abort();
  let timer = setTimeout(abort, silentMsMax);
  return {
    signal: controller.signal,
    broken: (): void => {
      clearTimeout(timer);
      timer = setTimeout(abort, silentMsMax);
    },
    end: (): void => {
      clearTimeout(timer);
      outer.removeEventListener("abort", abort);
      abort();
    },
  };
}

function pause(delayMs: number, signal: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    const end = (): void => {
      clearTimeout(timer);
      signal.removeEventListener("abort", end);
      resolve();
    };
    const timer = setTimeout(end, delayMs);
    signal.addEventListener("abort", end);
    if (signal.aborted) end();
  });
}
