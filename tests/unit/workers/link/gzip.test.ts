import { gunzipSync, gzipSync } from "node:zlib";
import { expect, test } from "vitest";
import { gunzipText, gzipText } from "../../../../workers/link/gzip.ts";

const text = "Ladder, lane, hold: Ärmel, 船外活動, 🧤.\n".repeat(400);

test("[gzip 1] what was packed comes back; zlib reads what is packed here and the other way round", async () => {
  const packed = await gzipText(text);
  expect(gunzipSync(packed).toString()).toBe(text);
  expect(await gunzipText(packed, 1e6)).toBe(text);
  expect(await gunzipText(new Uint8Array(gzipSync(text)), 1e6)).toBe(text);
});

test("[gzip 1] more than the bound, a cut or no gzip at all, and bytes that are no text give nothing", async () => {
  const bomb = new Uint8Array(gzipSync(Buffer.alloc(50_000_000)));
  expect(bomb.length).toBeLessThan(60_000);
  expect(await gunzipText(bomb, 1_000_000)).toBeNull();
  const packed = await gzipText(text);
  expect(await gunzipText(packed.slice(0, -5), 1e6)).toBeNull();
  expect(await gunzipText(new TextEncoder().encode(text), 1e6)).toBeNull();
  expect(await gunzipText(new Uint8Array(), 1e6)).toBeNull();
  expect(await gunzipText(new Uint8Array(gzipSync(Buffer.from([0xff, 0xfe]))), 1e6)).toBeNull();
});
