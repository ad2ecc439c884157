// The page that a tap is compared with: one button, one strict put into IndexedDB, one number painted.

import { once } from "node:events";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";

/** The bare page, served. */
export type BarePage = { readonly address: string; readonly close: () => void };

/** Serves the bare page on a free port of the loopback interface, as the hub serves the app. */
export async function serveBarePage(): Promise<BarePage> {
  const server = createServer((_, answer) => {
    answer.setHeader("content-type", "text/html; charset=utf-8");
    answer.end(html);
  });
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  const { port } = server.address() as AddressInfo;
  return {
    address: `http://127.0.0.1:${port}`,
    close: () => {
      server.close();
      server.closeAllConnections();
    },
  };
}

const html = `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<title>Bare page</title>
<style>button { min-width: 64px; min-height: 64px; font-size: 22px }</style>
<button type="button">Tap</button>
<output data-count="0">0</output>
<script>
const opening = indexedDB.open("bare", 1);
opening.onupgradeneeded = () => opening.result.createObjectStore("taps");
opening.onsuccess = () => {
  const shown = document.querySelector("output");
  let count = 0;
  document.querySelector("button").addEventListener("click", () => {
    count += 1;
    const writing = opening.result.transaction(["taps"], "readwrite", { durability: "strict" });
    writing.objectStore("taps").put({ count }, count);
    writing.oncomplete = () => {
      shown.dataset.count = String(count);
      shown.textContent = String(count);
    };
  });
  document.body.dataset.ready = "";
};
</script>
</html>`;
