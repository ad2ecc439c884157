// GET /healthz and GET /metrics: for whoever watches over the hub.
//
// [health 1] A hub that has been told to stop says so, and so does one whose certificate is near its end.

import type { Hub } from "../hub.ts";
import { certificateDaysLeft, warnDays } from "../standing.ts";

/**
 * Answers GET /healthz: 200 while the storage answers, 503 from when the hub is told to stop.
 *
 * Errors: those of the storage, which make it 503.
 */
export async function answerHealth(hub: Hub): Promise<Response> {
  await hub.storage.count();
  const { standing } = hub;
  const days = certificateDaysLeft(standing, hub.clock.nowMs());
  const lines = [standing.isDraining ? "draining" : "ok"];
  if (days !== null && days < warnDays) lines.push(`certificate: ${days} days left`);
  return new Response(`${lines.join("\n")}\n`, {
    status: standing.isDraining ? 503 : 200,
    headers: { ...plain, "cache-control": "no-store" },
  });
}

/** Answers GET /metrics in the Prometheus text format. Errors: those of the storage. */
export async function answerMetrics(hub: Hub): Promise<Response> {
  const text = hub.metrics.text({
    storage: await hub.storage.count(),
    openStreams: hub.streams.count(),
    upSeconds: process.uptime(),
    residentBytes: process.memoryUsage.rss(),
    isDraining: hub.standing.isDraining,
    certificateEndsAtMs: hub.standing.certificate?.endsAtMs ?? null,
  });
  const headers = { "content-type": "text/plain; version=0.0.4; charset=utf-8" };
  return new Response(text, { headers: { ...headers, "cache-control": "no-store" } });
}

const plain = { "content-type": "text/plain; charset=utf-8" };
