// Packing text into gzip (RFC 1952) and back, by the platform's own streams.
//
// [gzip 1] Unpacking stops at a bound, so that a small file cannot fill the memory.

/** The gzip of a text's UTF-8 bytes. Errors: none. */
export async function gzipText(text: string): Promise<Uint8Array<ArrayBuffer>> {
  const packed = new Blob([text]).stream().pipeThrough(new CompressionStream("gzip"));
  return new Uint8Array(await new Response(packed).arrayBuffer());
}

/**
 * The text that was packed; null if this is no gzip of UTF-8, was cut, or unpacks to more than so many
 * bytes.
 *
 * Errors: none.
 */
export async function gunzipText(
  bytes: Uint8Array<ArrayBuffer>,
  bytesMax: number,
): Promise<string | null> {
  const unpacked = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  const reader = unpacked.getReader();
  const decoder = new TextDecoder("utf-8", { fatal: true });
  let text = "";
  let byteCount = 0;
  try {
    for (let part = await reader.read(); !part.done; part = await reader.read()) {
      byteCount += part.value.length;
      if (byteCount > bytesMax) {
        await reader.cancel();
        return null;
      }
      text += decoder.decode(part.value, { stream: true });
    }
    return text + decoder.decode();
  } catch {
    return null;
  }
}
