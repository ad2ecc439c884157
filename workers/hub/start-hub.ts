// Starts a hub: storage, documents, server.

import { randomInt } from "node:crypto";
import { Server as SecureServer } from "node:https";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import type { ServerType } from "@hono/node-server";
import { AddressTakenError } from "./address-taken-error.ts";
import { bringDocuments } from "./bring-documents.ts";
import type { Documents } from "./bring-documents.ts";
import type { Clock } from "./clock.ts";
import type { Config } from "./config.ts";
import { createEventStreams } from "./event-streams.ts";
import { holdDataFolder } from "./hold-data-folder.ts";
import type { Hub } from "./hub.ts";
import { createLimits } from "./limits.ts";
import type { Log } from "./log.ts";
import { createMetrics } from "./metrics.ts";
import { createHubServer } from "./server.ts";
import { shutDown } from "./shutdown.ts";
import { createStanding } from "./standing.ts";
import { openPostgresStorage } from "./storage/postgres-storage.ts";
import type { RecordStorage } from "./storage/record-storage.ts";
import { openSqliteStorage } from "./storage/sqlite-storage.ts";
import { keepCertificate } from "./tls/keep-certificate.ts";
import type { CertificateKeeper } from "./tls/keep-certificate.ts";
import { loadCertificate } from "./tls/load-certificate.ts";
import { createPlainDoor } from "./tls/plain-door.ts";
import { watchOthers } from "./watch-others.ts";

/** A hub that listens. */
export type RunningHub = {
  /** "http://127.0.0.1:8787/", or https where the hub has a certificate. */
  readonly address: string;
  /** Where a tablet learns to trust the hub, over plain HTTP; null: nowhere. */
  readonly trustAddress: string | null;
  /** Reads the certificate anew; one that cannot serve is refused in the log. Null: there is none. */
  readonly reload: (() => void) | null;
  readonly stop: () => Promise<void>;
};

/** What a hub needs of the machine. */
export type Surroundings = { readonly clock: Clock; readonly log: Log };

/**
 * Starts a hub.
 *
 * Errors: `CertificateWrongError`, `DataFolderTakenError`, `HubFileUnreadableError`, `HubFileNewerError`,
 * `StorageFailedError`, `AddressTakenError`.
 */
export async function startHub(
  config: Config,
  documents: Documents,
  surroundings: Surroundings,
): Promise<RunningHub> {
  const { log } = surroundings;
  const { hub, letGo } = await openHub(config, surroundings);
  const stopWatching = watchOthers(hub);
  const open: ServerType[] = [];
  const listenWith = async (server: ServerType, port: number): Promise<number> => {
    const listening = await listen(server, { host: config.host, port });
    open.push(server);
    return listening.port;
  };
  let keeper: CertificateKeeper | null = null;
  const endAll = async (noticeMs: number): Promise<void> => {
    keeper?.stop();
    stopWatching();
    await shutDown(open, hub, noticeMs);
    letGo();
  };
  try {
    for (const { path, code, says } of await bringDocuments(hub.storage, documents)) {
      log("error", "document.refused", { path, code, says });
    }
    const server = createHubServer(hub);
    const port = await listenWith(server, config.port);
    keeper = keeperOf(hub, config, server);
    const httpPort = config.tls?.httpPort ?? null;
    const plainPort =
      httpPort === null
        ? null
        : await listenWith(
            createPlainDoor(hub, () => port),
            httpPort,
          );
    log("info", "hub.started", { host: config.host, port, plainPort, isSecure: keeper !== null });
    const scheme = keeper === null ? "http" : "https";
    return {
      address: addressOf(scheme, config.host, port),
      trustAddress: plainPort === null ? null : addressOf("http", config.host, plainPort),
      reload: keeper === null ? null : keeper.reload,
      stop: () => endAll(config.drainNoticeSeconds * 1_000),
    };
  } catch (cause) {
    await endAll(0);
    throw cause;
  }
}

async function openHub(config: Config, { clock, log }: Surroundings) {
  const { tls, host } = config;
  const certificate = tls === null ? null : loadCertificate(tls, { host, nowMs: clock.nowMs() });
  // Hubs that share a database each keep nothing in a folder.
  const letGo = config.database === null ? holdDataFolder(config.dataFolder) : () => undefined;
  try {
    const hub: Hub = {
      storage: await openStorage(config),
      clock,
      log,
      streams: createEventStreams(clock),
      limits: createLimits(clock),
      metrics: createMetrics(),
      standing: createStanding(certificate),
      appFolder: config.appFolder,
      invitationMs: config.invitationMinutes * 60_000,
      randomBelow: (bound) => randomInt(bound),
    };
    return { hub, letGo };
  } catch (cause) {
    letGo();
    throw cause;
  }
}

async function openStorage({ database, dataFolder }: Config): Promise<RecordStorage> {
  if (database !== null) return await openPostgresStorage(database);
  return openSqliteStorage(join(dataFolder, "hub.sqlite"));
}

function keeperOf(hub: Hub, { tls, host }: Config, server: ServerType) {
  return tls !== null && server instanceof SecureServer
    ? keepCertificate(hub, { server, files: tls, host })
    : null;
}

function addressOf(scheme: string, host: string, port: number): string {
  return `${scheme}://${host.includes(":") ? `[${host}]` : host}:${port}/`;
}

type Place = { readonly host: string; readonly port: number };

function listen(server: ServerType, { host, port }: Place): Promise<AddressInfo> {
  return new Promise((resolve, reject) => {
    server.once("error", (cause: Error) => reject(new AddressTakenError({ host, port }, cause)));
    server.listen(port, host, () => {
      const address = server.address();
      if (address !== null && typeof address === "object") resolve(address);
    });
  });
}
