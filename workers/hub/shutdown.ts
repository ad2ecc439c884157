// The hub's orderly end.
//
// [shutdown 1] It takes no new request, tells those who follow to come back, lets requests under way come
//   to their answer, then closes the storage.
// [shutdown 2] What is still under way after `drainMs` is cut: it was not answered, so it comes again.
// [shutdown 3] From its beginning on the hub calls itself draining; for the time of notice it still
//   answers, so that whatever shares out devices over several hubs can send them elsewhere first.

import type { ServerType } from "@hono/node-server";
import type { Clock } from "./clock.ts";
import type { Hub } from "./hub.ts";

/** So long requests under way may take. */
export const drainMs = 10_000;

/** A server that listens. */
export type ListeningServer = Pick<ServerType, "close"> & {
  closeIdleConnections?(): void;
  closeAllConnections?(): void;
};

/**
 * Ends the hub; resolves when everything is closed.
 *
 * @param noticeMs [shutdown 3]
 * Errors: those of the storage.
 */
export async function shutDown(
  servers: readonly ListeningServer[],
  hub: Pick<Hub, "streams" | "storage" | "clock" | "log" | "standing">,
  noticeMs: number,
): Promise<void> {
  hub.standing.isDraining = true;
  hub.log("info", "hub.stopping", { noticeMs });
  if (noticeMs > 0) await passes(hub.clock, noticeMs);
  const closed = servers.map((server) => close(server));
  hub.streams.endAll();
  const closeIdle = () => servers.forEach((server) => server.closeIdleConnections?.());
  closeIdle();
  const endMs = hub.clock.nowMs() + drainMs;
  const stopWatching = hub.clock.every(250, () => {
    closeIdle();
    if (hub.clock.nowMs() < endMs) return;
    for (const server of servers) server.closeAllConnections?.();
  });
  await Promise.all(closed);
  stopWatching();
  await hub.storage.close();
  hub.log("info", "hub.stopped");
}

function close(server: ListeningServer): Promise<void> {
  return new Promise((resolve) => {
    server.close(() => resolve());
  });
}

function passes(clock: Clock, milliseconds: number): Promise<void> {
  return new Promise((resolve) => {
    const stop = clock.every(milliseconds, () => {
      stop();
      resolve();
    });
  });
}
