// GET /api/runs/:run/stream: a device hears, by server-sent events, that there is something to pull.
//
// [stream-route 1] A follower is told where the run stands as soon as it follows, and after each commit.
// [stream-route 3] A device that is struck off while it follows is told nothing more.
// [stream-route 2] When each device was last heard of is told when it changed, at most every 5 s.

import type { RunId } from "../../../machines/record/ids.ts";
import type { HeardHint } from "../../../machines/sync/stream.ts";
import { authenticateMember } from "../authenticate.ts";
import type { Hub, HubContext } from "../hub.ts";

/** How often a follower is told when each device was last heard of, if that changed. */
export const heardPeriodMs = 5_000;

/** Answers GET /api/runs/:run/stream. Errors: those of the storage. */
export async function answerStream(hub: Hub, c: HubContext): Promise<Response> {
  const reader = await authenticateMember(hub, c);
  if (reader instanceof Response) return reader;
  const { run, device } = reader;
  const stream = hub.streams.open({
    run,
    device,
    onEnd: () => stopTelling(),
    cut: () => c.env.outgoing?.destroy(),
  });
  const tellHeard = heardTeller(hub, run, (hint) => stream.send("heard", hint));
  const tellHeardOrEnd = async () => {
    const now = await hub.storage.readDevice(run, device);
    if (now === null || now.isStruckOff) stream.end();
    else await tellHeard();
  };
  const stopTelling = hub.clock.every(heardPeriodMs, () => {
    tellHeardOrEnd().catch((cause: unknown) => {
      hub.log("error", "stream.failed", { run, cause: String(cause) });
      stream.end();
    });
  });
  stream.send("entries", { after: await hub.storage.readHead(run) });
  await tellHeard();
  return new Response(stream.body, { headers });
}

const headers = {
  "content-type": "text/event-stream; charset=utf-8",
  // Nothing between hub and device may keep, gather or repack the events.
  "cache-control": "no-cache, no-transform",
  "x-accel-buffering": "no",
};

function heardTeller(hub: Hub, run: RunId, send: (hint: HeardHint) => void): () => Promise<void> {
  let told = "";
  return async () => {
    const lastHeardMs = await hub.storage.readLastHeardMs(run);
    const text = JSON.stringify(lastHeardMs);
    if (text === told) return;
    told = text;
    send({ lastHeardMs, hubMs: hub.clock.nowMs() });
  };
}
