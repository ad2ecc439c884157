// Reading server-sent events from a stream of text, piece by piece.
//
// [read-event-stream 1] However the text is cut into pieces, the same events come out.
// [read-event-stream 2] Comments and events without data give nothing.
// Source: WHATWG HTML, section 9.2.6 "Interpreting an event stream".

/** One event: its name, "message" if it has none, and its data. */
export type StreamEvent = { readonly event: string; readonly data: string };

/** What is left of the text between two pieces. */
export type StreamRest = { readonly text: string };

/** Nothing read yet. */
export const emptyRest: StreamRest = { text: "" };

/** An event longer than this is none of the hub's; the rest before it is dropped. */
export const eventCharactersMax = 1_000_000;

/**
 * The events that are whole after one more piece, and what is left.
 *
 * Errors: none.
 */
export function readEventStream(
  rest: StreamRest,
  piece: string,
): { readonly events: readonly StreamEvent[]; readonly rest: StreamRest } {
  // A CR at the end may be the first half of a line break; it waits for the next piece.
  const all = rest.text + piece;
  const held = all.endsWith("\r") ? "\r" : "";
  const text = all.slice(0, all.length - held.length).replaceAll(/\r\n?/g, "\n");
  const blocks = text.split("\n\n");
  const last = blocks.pop() ?? "";
  const left = last.length > eventCharactersMax ? "" : last + held;
  return { events: blocks.flatMap(eventOfBlock), rest: { text: left } };
}

function eventOfBlock(block: string): StreamEvent[] {
  let event = "message";
  const data: string[] = [];
  for (const line of block.split("\n")) {
    const colon = line.indexOf(":");
    const field = colon === -1 ? line : line.slice(0, colon);
    const value = colon === -1 ? "" : line.slice(colon + 1).replace(/^ /, "");
    if (field === "event" && value !== "") event = value;
    if (field === "data") data.push(value);
  }
  return data.length === 0 ? [] : [{ event, data: data.join("\n") }];
}
