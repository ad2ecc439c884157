// Starts a hub: storage, documents, server.

import { randomInt } from "node:crypto";
import { mkdirSync } from "node:fs";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import type { ServerType } from "@hono/node-server";
import { AddressTakenError } from "./address-taken-error.ts";
import { bringDocuments } from "./bring-documents.ts";
import type { Documents } from "./bring-documents.ts";
import type { Clock } from "./clock.ts";
import type { Config } from "./config.ts";
import { createEventStreams } from "./event-streams.ts";
import type { Hub } from "./hub.ts";
import { createLimits } from "./limits.ts";
import type { Log } from "./log.ts";
import { createMetrics } from "./metrics.ts";
import { createHubServer } from "./server.ts";
import { shutDown } from "./shutdown.ts";
import { HubFileUnreadableError } from "./storage/hub-file-unreadable-error.ts";
import type { RecordStorage } from "./storage/record-storage.ts";
import { openSqliteStorage } from "./storage/sqlite-storage.ts";

/** A hub that listens. */
export type RunningHub = {
  /** "http://127.0.0.1:8787/" */
  readonly address: string;
  readonly stop: () => Promise<void>;
};

/**
 * Starts a hub.
 *
 * Errors: `HubFileUnreadableError`, `HubFileNewerError`, `AddressTakenError`.
 */
export async function startHub(
  config: Config,
  documents: Documents,
  { clock, log }: { readonly clock: Clock; readonly log: Log },
): Promise<RunningHub> {
  const storage = openStorage(config.dataFolder);
  const hub: Hub = {
    storage,
    clock,
    log,
    streams: createEventStreams(clock),
    limits: createLimits(clock),
    metrics: createMetrics(),
    appFolder: config.appFolder,
    invitationMs: config.invitationMinutes * 60_000,
    randomBelow: (bound) => randomInt(bound),
  };
  for (const { path, code, says } of await bringDocuments(storage, documents)) {
    log("error", "document.refused", { path, code, says });
  }
  const server = createHubServer(hub);
  const { port } = await listen(server, config).catch(async (cause: unknown) => {
    await storage.close();
    throw cause;
  });
  log("info", "hub.started", { host: config.host, port });
  const host = config.host.includes(":") ? `[${config.host}]` : config.host;
  return { address: `http://${host}:${port}/`, stop: () => shutDown(server, hub) };
}

function openStorage(folder: string): RecordStorage {
  try {
    mkdirSync(folder, { recursive: true });
  } catch (cause) {
    throw new HubFileUnreadableError(folder, cause);
  }
  return openSqliteStorage(join(folder, "hub.sqlite"));
}

function listen(server: ServerType, { host, port }: Config): Promise<AddressInfo> {
  return new Promise((resolve, reject) => {
    server.once("error", (cause: Error) => reject(new AddressTakenError({ host, port }, cause)));
    server.listen(port, host, () => {
      const address = server.address();
      if (address !== null && typeof address === "object") resolve(address);
    });
  });
}
