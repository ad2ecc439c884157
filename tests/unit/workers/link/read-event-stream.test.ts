import * as fc from "fast-check";
import { expect, test } from "vitest";
import {
  emptyRest,
  eventCharactersMax,
  readEventStream,
} from "../../../../workers/link/read-event-stream.ts";
import type { StreamEvent } from "../../../../workers/link/read-event-stream.ts";

function readPieces(pieces: readonly string[]): StreamEvent[] {
  let rest = emptyRest;
  const events: StreamEvent[] = [];
  for (const piece of pieces) {
    const read = readEventStream(rest, piece);
    rest = read.rest;
    events.push(...read.events);
  }
  return events;
}

test.each([
  {
    says: "an event",
    text: 'event: entries\ndata: {"after":3}\n\n',
    events: [["entries", '{"after":3}']],
  },
  { says: "no name", text: "data: x\n\n", events: [["message", "x"]] },
  { says: "no space after the colon", text: "data:x\n\n", events: [["message", "x"]] },
  { says: "data over two lines", text: "data: x\ndata: y\n\n", events: [["message", "x\ny"]] },
  { says: "a comment", text: ": still here\n\n", events: [] },
  { says: "a name without data", text: "event: heard\n\n", events: [] },
  { says: "carriage returns", text: "data: x\r\n\r\ndata: y\r\r", events: [["message", "x"]] },
  { says: "an event that is not whole", text: "data: x\n\ndata: y\n", events: [["message", "x"]] },
])("[read-event-stream 2] $says", ({ text, events }) => {
  expect(readPieces([text]).map(({ event, data }) => [event, data])).toEqual(events);
});

test("[read-event-stream 1] however the text is cut, the same events come out", () => {
  const text =
    'event: entries\r\ndata: {"after":3}\r\n\r\n: alive\n\nevent: heard\ndata: a\ndata: b\n\ndata: é\n\n';
  const whole = readPieces([text]);
  expect(whole).toHaveLength(3);
  fc.assert(
    fc.property(fc.array(fc.nat(text.length)), (cuts) => {
      const at = [0, ...cuts.toSorted((a, b) => a - b), text.length];
      const pieces = at.slice(1).map((end, index) => text.slice(at[index], end));
      expect(readPieces(pieces)).toEqual(whole);
    }),
  );
});

test("[read-event-stream 2] a text without end is dropped, not kept", () => {
  const { rest } = readEventStream(emptyRest, "x".repeat(eventCharactersMax + 1));
  expect(rest.text).toBe("");
});
