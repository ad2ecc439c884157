// The hub's orderly end.
//
// [shutdown 1] It takes no new request, ends the streams, lets requests under way come to their answer,
//   then closes the storage.
// [shutdown 2] What is still under way after `drainMs` is cut: it was not answered, so it comes again.

import type { ServerType } from "@hono/node-server";
import type { Hub } from "./hub.ts";

/** So long requests under way may take. */
export const drainMs = 10_000;

/** Ends the hub; resolves when everything is closed. Errors: those of the storage. */
export async function shutDown(
  server: Pick<ServerType, "close"> & {
    closeIdleConnections?(): void;
    closeAllConnections?(): void;
  },
  hub: Pick<Hub, "streams" | "storage" | "clock" | "log">,
): Promise<void> {
  hub.log("info", "hub.stopping");
  const closed = new Promise<void>((resolve) => {
    server.close(() => resolve());
  });
  hub.streams.endAll();
  server.closeIdleConnections?.();
  const endMs = hub.clock.nowMs() + drainMs;
  const stopWatching = hub.clock.every(250, () => {
    server.closeIdleConnections?.();
    if (hub.clock.nowMs() >= endMs) server.closeAllConnections?.();
  });
  await closed;
  stopWatching();
  await hub.storage.close();
  hub.log("info", "hub.stopped");
}
