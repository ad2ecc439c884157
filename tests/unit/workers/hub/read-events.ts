// Reads server-sent events, for tests.

/** An event as it was sent. */
export type Sent = { readonly event: string; readonly data: unknown };

/** Reads events from a stream until one fits; all of them. */
export async function readUntil(
  reader: ReadableStreamDefaultReader<Uint8Array>,
  fits: (sent: Sent) => boolean,
): Promise<readonly Sent[]> {
  const all: Sent[] = [];
  const decoder = new TextDecoder();
  let text = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) throw new Error(`The stream ended after ${JSON.stringify(all)}.`);
    text += decoder.decode(value, { stream: true });
    const blocks = text.split("\n\n");
    text = blocks.pop() ?? "";
    for (const block of blocks) {
      const found = /^event: (\w+)\ndata: (.*)$/.exec(block);
      if (found !== null) all.push({ event: found[1] ?? "", data: JSON.parse(found[2] ?? "") });
    }
    if (all.some(fits)) return all;
  }
}
