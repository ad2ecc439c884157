// GET /healthz and GET /metrics: for whoever watches over the hub.

import type { Hub } from "../hub.ts";

/** Answers GET /healthz: 200 while the storage answers. Errors: those of the storage, which make it 503. */
export async function answerHealth(hub: Hub): Promise<Response> {
  await hub.storage.count();
  return new Response("ok\n", { headers: { ...plain, "cache-control": "no-store" } });
}

/** Answers GET /metrics in the Prometheus text format. Errors: those of the storage. */
export async function answerMetrics(hub: Hub): Promise<Response> {
  const text = hub.metrics.text({
    storage: await hub.storage.count(),
    openStreams: hub.streams.count(),
    upSeconds: process.uptime(),
    residentBytes: process.memoryUsage.rss(),
  });
  const headers = { "content-type": "text/plain; version=0.0.4; charset=utf-8" };
  return new Response(text, { headers: { ...headers, "cache-control": "no-store" } });
}

const plain = { "content-type": "text/plain; charset=utf-8" };
